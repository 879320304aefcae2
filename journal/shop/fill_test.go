package shop_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
)

// history is written by several devices, one entry a second.
type history struct {
	*writers
}

func newHistory(t *testing.T) history {
	w := newWriters(t)
	w.step = time.Second
	return history{w}
}

func (h history) write(device journal.DeviceID, about journal.Subject, data journal.Payload) *journal.Entry {
	h.Helper()
	return h.drafted(device, journal.Draft{Subject: about, By: "mk", Data: data})
}

const job journal.Subject = "job/j0b00001"

func (h history) remark(device journal.DeviceID) *journal.Entry {
	h.Helper()
	return h.write(device, job, &journal.Remark{Evidence: journal.Evidence{Note: "a remark"}})
}

func (h history) torque(device journal.DeviceID) *journal.Entry {
	h.Helper()
	return h.write(device, job+"/corner/LF", &journal.Torque{Joint: "banjo bolt", Torque: quantity[unitTorque]("27 N.m"), Tool: journaltest.Wrench, Count: 1})
}

// While many entries are taken in at once, one that cites what is not in the
// index yet stands where it does otherwise.
func TestFillLooksBack(t *testing.T) {
	h := newHistory(t)
	l, second := h.logs, h.author("bench-2")
	for range 6000 {
		h.remark("bench-1")
	}
	tree := new(proof.Tree)
	for _, e := range l.held["bench-1"][:3000] {
		tree.Append(e.Bytes)
	}
	root := tree.Root()
	second.After = journal.After{{Device: "bench-1", Size: 3000, Root: [16]byte(root[:16])}}
	citing := h.remark("bench-2")
	s, idx := open(t, l, t.TempDir())
	defer idx.Close()
	if err := s.Follow(context.Background()); err != nil {
		t.Fatal(err)
	}
	v := s.View(context.Background())
	lines := v.Line(citing.ID)
	if len(lines) != 1 || lines[0].Waits != nil || v.Err() != nil {
		t.Fatalf("the entry that cites 3000 of bench-1 is %+v (%v)", lines, v.Err())
	}
}

var errCut = errors.New("cut off")

// A fill that is cut off goes on where it was, in the next process too, and
// with what was not worked out yet of what it had taken in: an entry that is
// struck through has used nothing.
func TestFillGoesOn(t *testing.T) {
	h := newHistory(t)
	struck := h.torque("bench-1")
	h.torque("bench-1")
	h.write("bench-1", job, &journal.Correction{Of: struck.ID, Reason: "a slip"})
	for range 11000 {
		h.remark("bench-1")
	}
	h.torque("bench-1")
	h.logs.reading = func(at journal.Position) error {
		if at.Index == 8500 {
			return errCut
		}
		return nil
	}
	dir := t.TempDir()
	s, idx := open(t, h.logs, dir)
	if err := s.Follow(t.Context()); !errors.Is(err, errCut) {
		t.Fatalf("the fill that is cut off gives %v", err)
	}
	if err := idx.Close(); err != nil {
		t.Fatal(err)
	}
	s, idx = open(t, h.logs, dir)
	defer idx.Close()
	first := int64(-1)
	h.logs.reading = func(at journal.Position) error {
		if first < 0 {
			first = at.Index
			if f := s.Filling(); f != (shop.Filling{Held: first, Of: 11004}) {
				t.Errorf("when it goes on, %+v are in", f)
			}
		}
		return nil
	}
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if first != 5000 {
		t.Errorf("it goes on with entry %d, and 5000 were taken in", first)
	}
	if f := s.Filling(); f != (shop.Filling{Held: 11004, Of: 11004}) {
		t.Errorf("in the end %+v are in", f)
	}
	n, err := idx.Times(t.Context(), journal.Of("tool", string(journaltest.Wrench)), 0, 1<<64-1)
	if n != 2 || err != nil {
		t.Errorf("the wrench was used %d times (%v), and twice by what is not struck through", n, err)
	}
	if rows, err := idx.Unsettled(t.Context(), 1); len(rows) > 0 || err != nil {
		t.Errorf("not worked out is %v (%v)", rows, err)
	}
}

// A shop that closed a log is filled once, in the order that holds.
func TestFillKnowsClosings(t *testing.T) {
	h := newHistory(t)
	for range 6000 {
		h.remark("bench-1")
	}
	h.write("hub", journal.Of("device", "bench-1"), &journal.LogClosing{Device: "bench-1", Counts: 5999})
	times := 0
	h.logs.reading = func(at journal.Position) error {
		if at.Device == "bench-1" && at.Index == 5999 {
			times++
		}
		return nil
	}
	s, idx := open(t, h.logs, t.TempDir())
	defer idx.Close()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if times != 1 {
		t.Errorf("the log was read %d times", times)
	}
	if rows, err := idx.Waiting(t.Context()); len(rows) != 1 || err != nil {
		t.Errorf("beyond the closing are %v (%v)", rows, err)
	}
}

// While a shop is put in order anew it is not shown, also not when that is cut
// off after a part; and then it goes on.
func TestOrderedAnewIsNotShownInPart(t *testing.T) {
	journaltest.Long(t)
	h := newHistory(t)
	for range 6000 {
		h.remark("bench-1")
	}
	s, idx := open(t, h.logs, t.TempDir())
	defer idx.Close()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	h.write("hub", journal.Of("device", "bench-1"), &journal.LogClosing{Device: "bench-1", Counts: 10})
	now, stop := context.WithCancel(t.Context())
	stop()
	if err := s.Ready(now); err != nil {
		t.Fatal(err)
	}
	h.logs.reading = func(at journal.Position) error {
		if at == (journal.Position{Device: "bench-1", Index: 5500}) {
			if s.Ready(now) == nil {
				t.Error("it is shown while it is put in order")
			}
			return errCut
		}
		return nil
	}
	if err := s.Follow(t.Context()); !errors.Is(err, errCut) {
		t.Fatalf("the order that is cut off gives %v", err)
	}
	if s.Ready(now) == nil || s.View(t.Context()).Err() == nil {
		t.Error("a part of it is shown")
	}
	h.logs.reading = nil
	_, changed := s.Now()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(s.Ready(now), s.View(t.Context()).Err()); err != nil {
		t.Errorf("when all is in order: %v", err)
	}
	select {
	case <-changed:
	default:
		t.Error("whoever waits does not hear of it")
	}
	if rows, err := idx.Waiting(t.Context()); len(rows) != 5990 || err != nil {
		t.Errorf("%d entries are beyond the closing (%v)", len(rows), err)
	}
}

// asking are logs that call back when they are asked how far they are
// countersigned, which comes last when a shop follows.
type asking struct {
	*logs
	asked func()
}

func (a asking) LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error) {
	if a.asked != nil {
		a.asked()
	}
	return a.logs.LastCountersigned(ctx, device)
}

// Once it is in order a shop is shown, also before all is done that follows.
func TestOrderedAnewIsShownAtOnce(t *testing.T) {
	h := newHistory(t)
	for range 20 {
		h.remark("bench-1")
	}
	in := &asking{logs: h.logs}
	s, idx := openWith(t, in, t.TempDir())
	defer idx.Close()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	h.write("hub", journal.Of("device", "bench-1"), &journal.LogClosing{Device: "bench-1", Counts: 10})
	_, changed := s.Now()
	times := 0
	in.asked = func() {
		times++
		if err := s.View(t.Context()).Err(); err != nil {
			t.Error(err)
		}
	}
	if err := s.Follow(t.Context()); err != nil || times == 0 {
		t.Fatalf("looked at %d times; %v", times, err)
	}
	select {
	case <-changed:
	default:
		t.Error("whoever waits does not hear of it")
	}
}

// A program that was killed after it took in what others waited for, and
// before it said so of them, says so at the next start.
func TestWhatWaitedCountsAfterAKill(t *testing.T) {
	h := newHistory(t)
	first := h.remark("bench-1")
	come := h.logs.held["bench-1"]
	tree := new(proof.Tree)
	tree.Append(come[0].Bytes)
	root := tree.Root()
	delete(h.logs.held, "bench-1")
	h.author("bench-2").After = journal.After{{Device: "bench-1", Size: 1, Root: [16]byte(root[:16])}}
	h.torque("bench-2")
	dir := t.TempDir()
	s, idx := open(t, h.logs, dir)
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if rows, err := idx.Waiting(t.Context()); len(rows) != 1 || err != nil {
		t.Fatalf("the entry that cites what is not here does not wait: %v (%v)", rows, err)
	}
	h.logs.held["bench-1"] = come
	item := index.Read(come[0])
	as := order.Standing{Place: first.ID.Bits(), Old: true}
	past, err := as.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	item.Place, item.Past = as.Place, past
	if err := errors.Join(idx.Put(t.Context(), []index.Item{item}), idx.Close()); err != nil {
		t.Fatal(err)
	}
	s, idx = open(t, h.logs, dir)
	defer idx.Close()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if rows, err := idx.Waiting(t.Context()); len(rows) != 0 || err != nil {
		t.Errorf("it still waits: %v (%v)", rows, err)
	}
	n, err := idx.Times(t.Context(), journal.Of("tool", string(journaltest.Wrench)), 0, 1<<64-1)
	if n != 1 || err != nil {
		t.Errorf("the wrench was used %d times (%v)", n, err)
	}
}
