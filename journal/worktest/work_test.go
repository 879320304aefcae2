package worktest_test

import (
	"crypto/sha256"
	"fmt"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/worktest"
)

func some(t testing.TB, seed string, n int, o worktest.Options) []journal.Logged {
	t.Helper()
	var list []journal.Logged
	for l, err := range worktest.First(n, worktest.New(seed, o)) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, l)
	}
	if len(list) != n {
		t.Fatalf("%d entries, want %d", len(list), n)
	}
	return list
}

func TestEqualSeedsGiveEqualBytes(t *testing.T) {
	sum := func(seed string, n int) string {
		h := sha256.New()
		for _, l := range some(t, seed, n, worktest.Options{}) {
			h.Write(l.Bytes)
		}
		return fmt.Sprintf("%x", h.Sum(nil))
	}
	if sum("a", 3000) != sum("a", 3000) {
		t.Error("one seed gives two histories")
	}
	if sum("a", 3000) == sum("b", 3000) {
		t.Error("two seeds give one history")
	}
}

// The history has the mix that a shop writes, and every entry can be read.
func TestMix(t *testing.T) {
	const n = 20_000
	kinds := map[journal.Kind]int{}
	next := map[journal.DeviceID]int64{}
	jobs, late := map[journal.JobID]int{}, 0
	var newest journal.EntryID
	for _, l := range some(t, "mix", n, worktest.Options{}) {
		if l.Index != next[l.Device] {
			t.Fatalf("entry %d of %s comes where %d should", l.Index, l.Device, next[l.Device])
		}
		next[l.Device]++
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := e.Payload(); err != nil {
			t.Fatalf("%s: %v", e.Type, err)
		}
		kinds[e.Type.Kind]++
		if job := e.Subject.Job(); job != "" {
			jobs[job]++
		}
		if e.ID.Time().Add(15 * time.Minute).Before(newest.Time()) {
			late++
		}
		if string(newest[:]) < string(e.ID[:]) {
			newest = e.ID
		}
	}
	if len(next) != 4 {
		t.Errorf("%d devices wrote", len(next))
	}
	if per := float64(n) / float64(len(jobs)); per < 45 || per > 65 {
		t.Errorf("%.1f entries a job", per)
	}
	if share := float64(kinds[journal.EntryCorrected]) / n; share < 0.015 || share > 0.025 {
		t.Errorf("%.3f are corrections", share)
	}
	if share := float64(late) / n; share < 0.003 || share > 0.1 {
		t.Errorf("%.3f come late", share)
	}
	for _, k := range []journal.Kind{journal.ProbeLogged, journal.ToolChecked, journal.DefectFound, journal.RecordSealed, journal.ContactMade, journal.ClockCompared} {
		if kinds[k] == 0 {
			t.Errorf("no %s in %d entries", k, n)
		}
	}
	t.Logf("%d jobs; %v", len(jobs), kinds)
}

// What was held is never more than what is there, and grows.
func TestHeld(t *testing.T) {
	sizes := map[journal.DeviceID]int64{}
	seen := map[[2]journal.DeviceID]int64{}
	asked := 0
	some(t, "held", 4000, worktest.Options{Before: func(e *journal.Entry, held []worktest.Held) {
		for _, h := range held {
			pair := [2]journal.DeviceID{e.Source.Device, h.Device}
			if h.Size < seen[pair] || h.Size > sizes[h.Device] || h.Device == e.Source.Device {
				t.Fatalf("%s holds %d of %s, which has %d; before it held %d", e.Source.Device, h.Size, h.Device, sizes[h.Device], seen[pair])
			}
			seen[pair] = h.Size
			asked++
		}
		sizes[e.Source.Device]++
	}})
	if asked == 0 {
		t.Error("nobody held anything")
	}
}

// A fold of the history reads all of it.
func TestFolds(t *testing.T) {
	shop, err := record.Fold(func(yield func(journal.Logged, error) bool) {
		for _, l := range some(t, "fold", 6000, worktest.Options{}) {
			if !yield(l, nil) {
				return
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	sealed := 0
	for _, j := range shop.Jobs {
		if j.Sealed != nil {
			sealed++
		}
	}
	if len(shop.Jobs) < 80 || sealed < 60 {
		t.Errorf("%d jobs, %d sealed", len(shop.Jobs), sealed)
	}
}

func TestStored(t *testing.T) {
	path := worktest.Copy(t, worktest.Folder(t, "stored", 3000))
	db, err := worktest.Open(t.Context(), path, "stored", journaltest.NewWatch(journaltest.Morning().AddDate(1, 0, 0)))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	n := 0
	for _, err := range db.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	if n != 3000 {
		t.Errorf("%d entries are stored", n)
	}
}

func BenchmarkNew(b *testing.B) {
	n := 0
	for _, err := range worktest.New("rate", worktest.Options{}) {
		if err != nil {
			b.Fatal(err)
		}
		if n++; !b.Loop() {
			break
		}
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "entries/s")
}
