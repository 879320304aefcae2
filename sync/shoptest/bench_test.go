package shoptest_test

import (
	"encoding/json"
	"sync"
	"testing"

	"fettlebook/journal"
	"fettlebook/sync/shoptest"
)

// What a tablet brings back after a month away.
const (
	backlogEntries = 10_000
	backlogThumb   = 30 << 10 // on every fifth entry
)

// BenchmarkSyncBacklog measures a tablet that comes back with ten thousand
// entries, from its connect until it holds the hub's countersignature over all
// of them: read, sent over TLS, stored by the broker with a disk sync for each
// message, verified and committed by the hub with a disk sync for each
// transaction. Hub and tablet are processes of their own; it also reports the
// most memory that each of them had.
func BenchmarkSyncBacklog(b *testing.B) {
	var seconds, entries, hubPeak, tabletPeak float64
	for b.Loop() {
		b.StopTimer()
		hubDir, tabletDir := b.TempDir(), b.TempDir()
		if err := shoptest.Found(b.Context(), hubDir); err != nil {
			b.Fatal(err)
		}
		hub := start(b, "hub", hubDir)
		prepare(b, tabletDir, hub.line(b))
		b.StartTimer()

		tablet := start(b, "tablet", tabletDir)
		var r report
		if err := json.Unmarshal([]byte(tablet.line(b)), &r); err != nil {
			b.Fatal(err)
		}
		seconds, entries = seconds+r.Seconds, entries+float64(r.Entries)
		hubPeak, tabletPeak = max(hubPeak, hub.peak(b)), max(tabletPeak, tablet.peak(b))

		b.StopTimer()
		tablet.end(b)
		hub.end(b)
		b.StartTimer()
	}
	b.ReportMetric(entries/seconds, "entries/s")
	b.ReportMetric(hubPeak, "hub-MiB")
	b.ReportMetric(tabletPeak, "tablet-MiB")
}

// prepare lets a tablet in and fills its log without a connection, several
// hands at a time.
func prepare(b *testing.B, dir, invitation string) {
	b.Helper()
	i := parse(b, invitation)
	a, err := shoptest.Applicant(journal.ShopID(i.Shop), "bench 1")
	if err != nil {
		b.Fatal(err)
	}
	if err := shoptest.Join(b.Context(), dir, i, a); err != nil {
		b.Fatal(err)
	}
	bench, err := shoptest.OpenBench(b.Context(), dir, nil)
	if err != nil {
		b.Fatal(err)
	}
	drafts, err := shoptest.Drafts(backlogEntries, backlogThumb, 1)
	if err != nil {
		b.Fatal(err)
	}
	const hands = 16
	var work sync.WaitGroup
	for hand := range hands {
		work.Go(func() {
			for n := hand; n < len(drafts); n += hands {
				if _, err := bench.DB.Append(b.Context(), drafts[n]); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	work.Wait()
	if err := bench.Close(); err != nil {
		b.Fatal(err)
	}
}
