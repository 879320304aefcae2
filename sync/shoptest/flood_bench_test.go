package shoptest_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"
)

// floodVariable says what an insider sends.
const floodVariable = "SHOPTEST_FLOOD"

// floodKinds are what insiders send without end, made beforehand, so that they are as fast
// as their line.
var floodKinds = []string{"questions", "segments", "greetings", "cards"}

func floodOf(kind string) (what segment.What, ring [][]byte, err error) {
	c, err := segment.NewCodec()
	if err != nil {
		return "", nil, err
	}
	defer c.Close()
	for n := range 64 {
		var q any
		switch kind {
		case "segments":
			what, q = segment.Send, segment.GiveAsk{Segment: noise(n, 700<<10)}
		case "greetings":
			what, q = segment.Greet, segment.Greeting{}
		case "cards":
			what, q = segment.Cards, segment.CardsAsk{Cards: []segment.Card{{Card: journal.CardID(fmt.Sprintf("c%07d", n)),
				Details: journal.Details{Name: string(make([]byte, 600<<10))}, Salt: make([]byte, 32), Changed: noise(n, 16)}}}
		default:
			what, q = "coffee", "x"
		}
		raw, err := c.Marshal(q)
		if err != nil {
			return "", nil, err
		}
		ring = append(ring, raw)
	}
	return what, ring, nil
}

// playInsider floods the hub with the keys of a folder until it is cut off, says so, and
// tries to come in again without a rest until its input ends.
func playInsider() error {
	var id shoptest.BenchIdentity
	if err := shoptest.ReadIdentity(os.Getenv(folderVariable), &id); err != nil {
		return err
	}
	key, err := nkeys.FromSeed([]byte(id.Line))
	if err != nil {
		return err
	}
	public, err := key.PublicKey()
	if err != nil {
		return err
	}
	connect := func() (*nats.Conn, error) {
		return nats.Connect("tls://"+id.Brokers[0], nats.Nkey(public, key.Sign), nats.Secure(broker.ClientTLS(id.Pin)), nats.NoReconnect())
	}
	what, ring, err := floodOf(os.Getenv(floodVariable))
	if err != nil {
		return err
	}
	conn, err := connect()
	if err != nil {
		return err
	}
	fmt.Println("begins")
	for n := 0; !conn.IsClosed(); n++ {
		if conn.PublishRequest(segment.AskSubject(id.Shop, id.Device, what), segment.Inbox(id.Device)+".x", ring[n%len(ring)]) != nil {
			break
		}
	}
	fmt.Println("cut off")
	ended := make(chan struct{})
	go func() {
		io.Copy(io.Discard, os.Stdin)
		close(ended)
	}()
	for {
		select {
		case <-ended:
			return nil
		default:
		}
		if conn, err := connect(); err == nil {
			conn.Close()
			return errors.New("let in again")
		}
	}
}

// flooded is what one block gave: the 95th percentile of the time from a write to its
// countersignature, without a flood, until the insider was cut off, and after that.
type flooded struct{ quiet, before, after time.Duration }

// BenchmarkFlood measures an honest bench beside an insider who sends as fast as he can,
// and after he was cut off: ten blocks, each without him first and then with one after the
// other who sends in another way.
// Everything is compared within a block, so a busy machine changes little. Hub and insider
// are processes of their own. FETTLEBOOK_FLOODS says how many blocks instead; with less than
// ten nothing is demanded of the ratios.
func BenchmarkFlood(b *testing.B) {
	blocks := 10
	if n, err := strconv.Atoi(os.Getenv("FETTLEBOOK_FLOODS")); err == nil {
		blocks = n
	}
	for b.Loop() {
		hubDir := b.TempDir()
		if err := shoptest.Found(b.Context(), hubDir); err != nil {
			b.Fatal(err)
		}
		hub := start(b, "hub", hubDir)
		dir := b.TempDir()
		joinIn(b, dir, hub.line(b), "bench 1")
		bench, err := shoptest.OpenBench(b.Context(), dir, nil)
		if err != nil {
			b.Fatal(err)
		}
		if err := bench.Connect(b.Context(), shoptest.Connection{}); err != nil {
			b.Fatal(err)
		}
		h := &honest{b: b, bench: bench}
		h.sample(100) // warm
		had := onDisk(b, hubDir)
		var list []flooded
		var cutOff []time.Duration
		for n := range blocks {
			f := flooded{quiet: p95(h.sample(60))}
			var insiders []*process
			var beside, each []time.Duration
			for _, kind := range floodKinds {
				fmt.Fprintln(hub.in, "another")
				folder := b.TempDir()
				joinIn(b, folder, hub.line(b), fmt.Sprintf("insider %d, %s", n+1, kind))
				b.Setenv(floodVariable, kind)
				insider := start(b, "insider", folder)
				insiders = append(insiders, insider)
				insider.line(b) // that he begins
				began, cut := time.Now(), make(chan time.Duration, 1)
				go func() {
					insider.line(b)
					cut <- time.Since(began)
				}()
				list, took := h.until(cut)
				beside, each = append(beside, list...), append(each, took.Round(time.Millisecond))
			}
			f.before = p95(beside)
			f.after = p95(h.sample(60)) // all of them try to come in again
			for _, insider := range insiders {
				insider.end(b)
			}
			b.Logf("p95 %v; %v while they sent, %d entries; %v after that; cut off after %v", f.quiet.Round(time.Microsecond),
				f.before.Round(time.Microsecond), len(beside), f.after.Round(time.Microsecond), each)
			list, cutOff = append(list, f), append(cutOff, each...)
		}
		grew, peak := onDisk(b, hubDir)-had, hub.peak(b)
		if err := bench.Close(); err != nil {
			b.Error(err)
		}
		hub.end(b)
		before := ratios(list, func(f flooded) time.Duration { return f.before })
		after := ratios(list, func(f flooded) time.Duration { return f.after })
		slices.Sort(cutOff)
		b.Logf("until cut off %s times as long, after that %s; cut off after %v, %v at most", spread(before), spread(after),
			cutOff[len(cutOff)/2].Round(time.Millisecond), cutOff[len(cutOff)-1].Round(time.Millisecond))
		b.ReportMetric(middle(before), "before-ratio")
		b.ReportMetric(middle(after), "after-ratio")
		b.ReportMetric(cutOff[len(cutOff)-1].Seconds(), "cut-off-s")
		b.ReportMetric(peak, "hub-MiB")
		b.ReportMetric(float64(grew)/1e6, "disk-MB")
		if peak > 250 || grew > int64(blocks*len(floodKinds))*64<<20 {
			b.Errorf("more than a hub can bear: %.0f MiB, disk %d MB", peak, grew/1e6)
		}
		if low, _ := enclosing(after); blocks >= 10 && (middle(before) > 3 || after[low] > 1.1) {
			b.Errorf("more than an honest bench can bear: before %.2f, after %.2f at least", middle(before), after[low])
		}
	}
}

// enclosing returns which two of sorted values enclose their median in at least 95 % of cases,
// whatever they are spread like (binomial); of less than six the outer ones, in fewer.
func enclosing(sorted []float64) (low, high int) {
	n := len(sorted)
	outside, next := math.Pow(0.5, float64(n)), float64(n)*math.Pow(0.5, float64(n)) // below the first; below the second
	for ; 2*(outside+next) <= 0.05; low++ {
		outside += next
		next *= float64(n-low-1) / float64(low+2)
	}
	return low, n - 1 - low
}

// spread writes a median and what encloses it.
func spread(sorted []float64) string {
	low, high := enclosing(sorted)
	return fmt.Sprintf("%.2f (%.2f to %.2f)", middle(sorted), sorted[low], sorted[high])
}

func ratios(list []flooded, of func(flooded) time.Duration) (r []float64) {
	for _, f := range list {
		r = append(r, float64(of(f))/float64(f.quiet))
	}
	slices.Sort(r)
	return r
}

func middle(sorted []float64) float64 {
	return (sorted[len(sorted)/2] + sorted[(len(sorted)-1)/2]) / 2
}

func p95(list []time.Duration) time.Duration {
	slices.Sort(list)
	return list[min(len(list)-1, len(list)*95/100)]
}

// honest is a bench at which somebody works.
type honest struct {
	b     *testing.B
	bench *shoptest.Bench
	wrote int
}

// write stamps one entry and returns how long it took until the hub's countersignature
// over it was here.
func (h *honest) write() time.Duration {
	h.wrote++
	drafts, err := shoptest.Drafts(1, 0, uint64(h.wrote))
	if err != nil {
		h.b.Fatal(err)
	}
	ctx, woken := context.WithoutCancel(h.b.Context()), h.bench.DB.Woken()
	began := time.Now()
	if _, err := h.bench.DB.Append(ctx, drafts[0]); err != nil {
		h.b.Fatal(err)
	}
	head, err := h.bench.DB.Head(ctx, h.bench.ID.Device)
	if err != nil {
		h.b.Fatal(err)
	}
	for limit := time.After(time.Minute); ; {
		c, err := h.bench.DB.LastCountersigned(ctx, h.bench.ID.Device)
		if err != nil {
			h.b.Fatal(err)
		}
		if c.Size >= head.Size {
			return time.Since(began)
		}
		select {
		case <-woken:
		case <-limit:
			h.b.Fatalf("no countersignature in a minute: %+v", h.bench.Uplink.Status())
		}
	}
}

func (h *honest) sample(n int) (list []time.Duration) {
	for range n {
		list = append(list, h.write())
	}
	return list
}

// until writes until something ends, and returns how long that took.
func (h *honest) until(end <-chan time.Duration) (list []time.Duration, took time.Duration) {
	for {
		list = append(list, h.write())
		select {
		case took = <-end:
			return list, took
		default:
		}
	}
}

func joinIn(b *testing.B, dir, invitation, name string) {
	b.Helper()
	i := parse(b, invitation)
	a, err := shoptest.Applicant(journal.ShopID(i.Shop), name)
	if err != nil {
		b.Fatal(err)
	}
	if err := shoptest.Join(b.Context(), dir, i, a); err != nil {
		b.Fatal(err)
	}
}
