package hub_test

import (
	"bytes"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/fxamacker/cbor/v2"
	"github.com/klauspost/compress/zstd"
)

// What no signature covers goes to quarantine with its reason, changes
// nothing, and holds up nothing that comes after it.
func TestIntakeRefuses(t *testing.T) {
	r := open(t)
	tab, other := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	stranger := r.newTablet("t9zzzzzz")
	tab.write(4)
	whole := func() journal.Segment { return tab.segment(0, 4) }
	changed := func(change func(*journal.Segment)) []byte {
		s := whole()
		change(&s)
		return r.encode(s)
	}
	big := bytes.Repeat([]byte("x"), journal.MaxQuotingBytes+1)
	for _, v := range []struct {
		name, reason string
		raw          []byte
	}{
		{"garbage", "cannot be read", []byte("not a segment")},
		{"an empty message", "cannot be read", nil},
		{"a version to come", "update fettlebook here", versionTwo(t, r.encode(whole()))},
		{"another device's log", "sent a segment of log", r.encode(other.write(1))},
		{"no entries", "holds no entries", changed(func(s *journal.Segment) { s.Entries = nil })},
		{"a changed byte", "root that the device signed", changed(func(s *journal.Segment) {
			s.Entries[1] = bytes.Replace(s.Entries[1], []byte("true"), []byte("null"), 1)
		})},
		{"two entries changed places", "root that the device signed", changed(func(s *journal.Segment) {
			s.Entries[1], s.Entries[2] = s.Entries[2], s.Entries[1]
		})},
		{"one entry short", "its checkpoint is of size 4", changed(func(s *journal.Segment) { s.Entries = s.Entries[:3] })},
		{"an entry too large", "bytes", changed(func(s *journal.Segment) { s.Entries[3] = big })},
		{"signed by a stranger", "not signed", changed(func(s *journal.Segment) {
			stranger.log = tab.log
			s.Checkpoint = stranger.segment(0, 4).Checkpoint
		})},
	} {
		before := len(r.quarantined(tab.device))
		r.send(tab.device, v.raw)
		r.until(v.name+" in quarantine", func() bool { return len(r.quarantined(tab.device)) > before })
		if reasons := r.quarantined(tab.device); !strings.Contains(reasons[before], v.reason) {
			t.Errorf("%s: %q, want %q", v.name, reasons[before], v.reason)
		}
		if n := r.size(tab); n != 0 {
			t.Fatalf("%s: %d entries were countersigned", v.name, n)
		}
	}
	if q := r.quarantined(other.device); len(q) > 0 {
		t.Errorf("quarantined for the tablet whose name was used: %q", q)
	}
	r.send(tab.device, r.encode(whole()))
	r.countersigned(tab, 4)
}

// versionTwo says of a segment in wire form that it has version 2.
func versionTwo(t *testing.T, raw []byte) []byte {
	t.Helper()
	open, err := zstd.NewReader(nil)
	must(t, err)
	defer open.Close()
	plain, err := open.DecodeAll(raw, nil)
	must(t, err)
	var fields map[int]any
	must(t, cbor.Unmarshal(plain, &fields))
	fields[1] = 2
	plain, err = cbor.Marshal(fields)
	must(t, err)
	pack, err := zstd.NewWriter(nil)
	must(t, err)
	defer pack.Close()
	return pack.EncodeAll(plain, nil)
}

// What a signature covers is kept and countersigned whatever it says: a
// Merkle log cannot leave one out.
func TestIntakeKeepsWhatIsSigned(t *testing.T) {
	r := open(t)
	for name, spoil := range map[journal.DeviceID]func(*journal.Entry){
		"another-as-source": func(e *journal.Entry) { e.Source.Device = "t2bbbbbb" },
		"id-of-1996": func(e *journal.Entry) {
			ms := time.Date(1996, 5, 4, 3, 2, 1, 0, time.UTC).UnixMilli()
			for i := range 6 {
				e.ID[i] = byte(ms >> (40 - 8*i))
			}
		},
		"kind-to-come":      func(e *journal.Entry) { e.Type.Kind = "caliper.polished" },
		"data-nobody-reads": func(e *journal.Entry) { e.Data = []byte(`{"agreed":"perhaps"}`) },
		"kind-of-the-hub":   func(e *journal.Entry) { e.Type = journal.Type{Kind: journal.DeviceRevoked, Version: 1} },
	} {
		tab := r.joined(name)
		tab.write(1)
		e := tab.entry(&journal.Arrival{Agreed: true})
		spoil(e)
		tab.add(e)
		tab.log = append(tab.log, []byte("signed and no entry at all"))
		tab.write(1)
		r.send(tab.device, r.encode(tab.segment(0, 4)))
		r.countersigned(tab, 4)
		if q := r.quarantined(tab.device); len(q) > 0 {
			t.Errorf("%s: in quarantine: %q", name, q)
		}
	}
	if n := count[*journal.Revocation](r.register()); n != 0 {
		t.Errorf("%d revocations in the register, which no tablet writes", n)
	}
	if got := len(r.admitted()); got != 5 {
		t.Errorf("%d tablets are let in, want all 5", got)
	}
}

// Messages that come twice, late, overlapping or too early end in the same log.
func TestIntakeInAnyOrder(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	tab.write(9)
	cut := func(first, end int) []byte { return r.encode(tab.segment(first, end)) }
	for _, m := range [][]byte{cut(6, 9), cut(0, 3), cut(0, 3), cut(1, 5), cut(0, 2), cut(7, 9), cut(5, 6), cut(3, 8), cut(0, 9)} {
		r.send(tab.device, m)
	}
	r.countersigned(tab, 9)
	i := 0
	for l, err := range r.db.Entries(t.Context(), tab.device, 0) {
		must(t, err)
		if !bytes.Equal(l.Bytes, tab.log[i]) || l.Received.IsZero() {
			t.Errorf("entry %d is another, or was not received (%v)", i, l.Received)
		}
		i++
	}
	if q := r.quarantined(tab.device); len(q) > 0 {
		t.Errorf("in quarantine: %q", q)
	}
}

// What is committed while the stream takes something else of the log is not countersigned
// with it: the stream has to have it too.
func TestNothingIsCountersignedAheadOfTheStream(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	tab.write(5)
	held := func() int64 {
		head, err := r.db.Head(t.Context(), tab.device)
		must(t, err)
		return head.Size
	}
	var first atomic.Bool
	beside := make(chan struct{})
	way := func(publish func() error) error {
		if !first.CompareAndSwap(false, true) {
			return errors.New("the stream takes nothing more")
		}
		go func() {
			defer close(beside)
			r.send(tab.device, r.encode(tab.segment(2, 5)))
		}()
		r.until("the second segment in the database", func() bool { return held() == 5 })
		return publish()
	}
	r.publishing.Store(&way)
	r.send(tab.device, r.encode(tab.segment(0, 2)))
	<-beside
	if n := r.size(tab); n != 2 {
		t.Errorf("%d entries are countersigned, and the stream has 2", n)
	}
	r.publishing.Store(nil)
	r.send(tab.device, r.encode(tab.segment(2, 5)))
	r.countersigned(tab, 5)
	r.restart(database...) // what it knows now it has from the stream
	r.ready()
	if n := held(); n != 5 {
		t.Errorf("out of the stream come %d entries", n)
	}
}

// Segments that come together in any order, some of them twice and one that is none among
// them, are all taken in, and cost fewer transactions than there are segments.
func TestIntakeTogether(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	tab.write(12)
	way := func(publish func() error) error { return publish() }
	r.publishing.Store(&way)
	var all sync.WaitGroup
	for _, cut := range [][2]int{{9, 12}, {6, 9}, {3, 6}, {0, 3}, {6, 9}} {
		raw := r.encode(tab.segment(cut[0], cut[1]))
		all.Go(func() { r.send(tab.device, raw) })
	}
	all.Go(func() { r.send(tab.device, []byte("not a segment")) })
	all.Wait()
	r.countersigned(tab, 12)
	if q := r.quarantined(tab.device); len(q) != 1 {
		t.Errorf("in quarantine: %q, want what is not a segment", q)
	}
	r.restart(database...)
	r.ready()
	i := 0
	for l, err := range r.db.Entries(t.Context(), tab.device, 0) {
		must(t, err)
		if !bytes.Equal(l.Bytes, tab.log[i]) {
			t.Errorf("entry %d is another", i)
		}
		i++
	}
	if i != 12 {
		t.Errorf("out of the stream come %d entries, want 12", i)
	}
}

// A device that shows two histories: both are kept, the first one stands, the
// log is closed and the register says so, once.
func TestIntakeFork(t *testing.T) {
	r := open(t)
	tab, honest := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	r.send(tab.device, r.encode(tab.write(3)))
	r.countersigned(tab, 3)
	first := tab.log
	tab.log = tab.log[:1:1]
	for range 2 {
		r.send(tab.device, r.encode(tab.write(3)))
	}
	r.until("the fork in the register", func() bool { return count[*journal.ForkFound](r.register()) == 1 })
	r.send(honest.device, r.encode(honest.write(2)))
	r.countersigned(honest, 2)
	if n := count[*journal.ForkFound](r.register()); n != 1 {
		t.Errorf("the fork is %d times in the register", n)
	}
	if r.size(tab) != 3 {
		t.Errorf("countersigned up to %d, want 3", r.size(tab))
	}
	for l, err := range r.db.Entries(t.Context(), tab.device, 0) {
		must(t, err)
		if !bytes.Equal(l.Bytes, first[l.Index]) {
			t.Errorf("entry %d is of the second history", l.Index)
		}
	}
	if reason, err := r.db.Closed(t.Context(), tab.device); err != nil || reason == "" {
		t.Errorf("the log is open: %v", err)
	}
	if len(r.quarantined(tab.device)) != 2 {
		t.Errorf("in quarantine: %q, want both messages of the second history", r.quarantined(tab.device))
	}
	var w segment.Welcome
	must(t, r.ask(tab.device, segment.Greet, segment.Greeting{}, &w))
	if w.Closed == "" {
		t.Error("the device is not told that its log is closed")
	}
}
