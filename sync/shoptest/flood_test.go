package shoptest_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/media"
	"fettlebook/sync/segment"
	"fettlebook/sync/shoptest"

	"github.com/nats-io/nats.go"
)

// flood is one thing that somebody with an enrolled tablet's keys sends without end: the
// nth question, and what he asks.
type flood func(n int) (segment.What, any)

// noise is bytes that do not compress, another for each n.
func noise(n, bytes int) []byte {
	r := rand.New(rand.NewPCG(uint64(n), 9))
	b := make([]byte, bytes)
	for i := 0; i+8 <= bytes; i += 8 {
		v := r.Uint64()
		for j := range 8 {
			b[i+j] = byte(v >> (8 * j))
		}
	}
	return b
}

// pour sends a flood until the hub cuts it off, and returns how long that took and how
// many bytes were sent.
func (i *insider) pour(f flood) (time.Duration, int64) {
	i.t.Helper()
	c := codec(i.t)
	reply := segment.Inbox(i.tablet.Device()) + ".x"
	began, sent := time.Now(), int64(0)
	for n := 0; !i.conn.IsClosed(); n++ {
		what, q := f(n)
		raw, ok := q.([]byte)
		if !ok {
			var err error
			if raw, err = c.Marshal(q); err != nil {
				i.t.Fatal(err)
			}
		}
		if err := i.conn.PublishRequest(segment.AskSubject(i.shop.ID(), i.tablet.Device(), what), reply, raw); err != nil {
			break
		}
		if sent += int64(len(raw)); time.Since(began) > time.Minute {
			i.t.Fatalf("not cut off after a minute and %d MB", sent/1e6)
		}
	}
	return time.Since(began), sent
}

// Whatever somebody with the keys of an enrolled tablet sends without end, he is cut off
// within seconds, what it left on the disk and in memory has an end, and another tablet
// works on. Nobody else is cut off.
func TestAnInsiderIsCutOff(t *testing.T) {
	floods := map[string]func(t *testing.T, i *insider) flood{
		"small questions": func(*testing.T, *insider) flood {
			return func(int) (segment.What, any) { return "coffee", []byte("x") }
		},
		"greetings": func(*testing.T, *insider) flood {
			return func(n int) (segment.What, any) {
				return segment.Greet, segment.Greeting{Clock: &segment.Skew{Offset: time.Duration(n) * time.Minute, RoundTrip: time.Millisecond}}
			}
		},
		"entries that are none": func(*testing.T, *insider) flood {
			return func(n int) (segment.What, any) { return segment.Send, segment.GiveAsk{Segment: noise(n, 700<<10)} }
		},
		"small entries that are none": func(*testing.T, *insider) flood {
			return func(n int) (segment.What, any) { return segment.Send, segment.GiveAsk{Segment: noise(n, 64)} }
		},
		"cards of nobody": func(*testing.T, *insider) flood {
			return func(n int) (segment.What, any) {
				return segment.Cards, segment.CardsAsk{Cards: []segment.Card{{Card: journal.CardID(fmt.Sprintf("c%07d", n)),
					Details: journal.Details{Name: string(bytes.Repeat([]byte("x"), 600<<10))}, Salt: make([]byte, 32), Changed: noise(n, 16)}}}
			}
		},
		"small cards of nobody": func(*testing.T, *insider) flood {
			return func(n int) (segment.What, any) {
				return segment.Cards, segment.CardsAsk{Cards: []segment.Card{{Card: journal.CardID(fmt.Sprintf("c%07d", n)),
					Details: journal.Details{Name: "x"}, Salt: make([]byte, 32), Changed: noise(n, 16)}}}
			}
		},
		"one photograph in many sizes": func(t *testing.T, i *insider) flood {
			ref := i.names(t)
			return func(n int) (segment.What, any) {
				size := int64(media.ChunkSize + 1 + n)
				return segment.Chunk, segment.PhotoAsk{Ref: ref[:], Size: size, Data: noise(n, media.ChunkLen(size, 0))}
			}
		},
		"signed entries": func(t *testing.T, i *insider) flood {
			var ring [][]byte
			c := codec(t)
			for range 200 {
				e, err := i.entry(journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io", Data: &journal.Arrival{Agreed: true}}, nil).Encode()
				if err != nil {
					t.Fatal(err)
				}
				i.entries = append(i.entries, e)
				raw, err := c.Encode(i.signed(len(i.entries) - 1))
				if err != nil {
					t.Fatal(err)
				}
				ring = append(ring, raw)
			}
			return func(n int) (segment.What, any) { return segment.Send, segment.GiveAsk{Segment: ring[n%len(ring)]} }
		},
		"photographs": func(t *testing.T, i *insider) flood {
			ref := i.names(t)
			const size = 12 << 20
			data := noise(1, media.ChunkSize)
			return func(n int) (segment.What, any) {
				return segment.Chunk, segment.PhotoAsk{Ref: ref[:], Size: size, Index: n % media.Chunks(size), Data: data}
			}
		},
		"the shop's entries again and again": func(t *testing.T, i *insider) flood {
			return func(int) (segment.What, any) { return segment.Range, segment.RangeAsk{Device: i.shop.HubDevice()} }
		},
		"answers wanted elsewhere": func(*testing.T, *insider) flood {
			return func(n int) (segment.What, any) { return segment.Range, segment.RangeAsk{Device: "nobody"} }
		},
	}
	for _, name := range journaltest.Rows(t, 4, slices.Sorted(maps.Keys(floods))) {
		flood := floods[name]
		t.Run(name, func(t *testing.T) {
			shop := shoptest.Open(t)
			honest := shop.Tablet("bench 1")
			i := newInsider(t, shop)
			f := flood(t, i)
			before, had := onDisk(t, shop.Dir()), shop.Hub.Hub.Tally()
			took, sent := i.pour(f)
			has := shop.Hub.Hub.Tally()
			heard, opened := has.Heard-had.Heard, has.Opened-had.Opened
			t.Logf("cut off after %v and %d MB, of which the hub heard %d and opened %d", took.Round(time.Millisecond), sent/1e6, heard/1e6, opened/1e6)
			// What it was for: 32 MiB of no use and the questions that were being answered then.
			// How long that takes hangs on who else is at work here.
			if opened > 64<<20 {
				t.Errorf("the hub opened %d MB before he was cut off", opened/1e6)
			}
			if list := shop.Hub.Hub.Resting(); len(list) != 1 || list[i.tablet.Device()].Why == "" {
				t.Errorf("kept out are %v", list)
			}
			if grew := onDisk(t, shop.Dir()) - before; grew > 64<<20 {
				t.Errorf("%d MB were left on the disk", grew/1e6)
			}
			if conn, err := nats.Connect("tls://"+i.tablet.Bench.ID.Brokers[0], credentials(t, i.tablet)...); err == nil {
				conn.Close()
				t.Error("let in again at once")
			}
			honest.Append(5)
			shop.SettleLog(honest)
			readings := 0
			for _, p := range shop.Register() {
				if c, ok := p.(*journal.ClockReading); ok && c.Device == i.tablet.Device() {
					readings++
				}
			}
			if readings > 24 {
				t.Errorf("%d readings of one clock", readings)
			}
		})
	}
}

// A tablet that was cut off for a while says that the hub asked it to wait, and not that it
// was revoked; also after it was started anew, and after the hub was, which keeps to it.
func TestACutOffTabletIsAskedToWait(t *testing.T) {
	shop := shoptest.Open(t)
	i := newInsider(t, shop)
	bench := i.tablet
	bench.Append(2)
	bench.Connect()
	shop.SettleLog(bench)
	i.pour(func(int) (segment.What, any) { return "coffee", []byte("x") })
	waits := func(when string) {
		t.Helper()
		bench.Append(1)
		shoptest.WaitUntil(t, when+": the tablet to say that it was asked to wait", func() bool {
			s := bench.Bench.Uplink.Status()
			return time.Until(s.Waits) > 50*time.Minute && s.Refused.IsZero() && strings.Contains(s.Problem, "asked this tablet to wait")
		})
	}
	waits("at once")
	bench.Disconnect()
	bench.Connect()
	waits("after it was started anew")
	shop.HubStop()
	shop.HubStart()
	<-shop.Hub.Hub.Ready()
	if list := shop.Hub.Hub.Resting(); len(list) != 1 || list[bench.Device()].Why == "" {
		t.Errorf("after a restart of the hub, kept out are %v", list)
	}
	if conn, err := nats.Connect("tls://"+bench.Bench.ID.Brokers[0], credentials(t, bench)...); err == nil {
		conn.Close()
		t.Error("let in by a restart of the hub")
	}
	waits("after the hub was")
}

// names has the insider write an entry that names a photograph.
func (i *insider) names(t *testing.T) media.Ref {
	t.Helper()
	thumb := []byte("a thumbnail")
	ref := media.RefOf([]byte("an original"))
	witness := i.shop.Tablet("bench 3")
	i.showWith(witness, [][]byte{thumb}, i.entry(journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io",
		Data: &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{{Ref: ref, Thumb: media.RefOf(thumb), Role: "masked bores"}}}}}, nil))
	return ref
}

// onDisk is how many bytes a folder has.
func onDisk(t testing.TB, dir string) (total int64) {
	t.Helper()
	err := filepath.WalkDir(dir, func(_ string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil // it went meanwhile
		}
		if info, err := d.Info(); err == nil {
			total += info.Size()
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return total
}

// However often one tablet connects, another gets in, and the first has few connections.
func TestConnectionsOfOneTablet(t *testing.T) {
	shop := shoptest.Open(t)
	honest := shop.Joined("bench 1")
	i := newInsider(t, shop)
	var conns []*nats.Conn
	for range 300 {
		conn, err := nats.Connect("tls://"+i.tablet.Bench.ID.Brokers[0], credentials(t, i.tablet)...)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(conn.Close)
		conns = append(conns, conn)
	}
	shoptest.WaitUntil(t, "the older connections to be closed", func() bool {
		open := 0
		for _, c := range conns {
			if !c.IsClosed() {
				open++
			}
		}
		return open <= 4
	})
	honest.Append(3)
	honest.Connect()
	shop.SettleLog(honest)
}
