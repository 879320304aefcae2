package order_test

import (
	"context"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/order"
)

// roots are logs whose root at a size is the size, after the device's first
// letter.
type roots struct{}

func (roots) RootAt(_ context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	return [32]byte{device[0], byte(size)}, nil
}

func cited(device journal.DeviceID, size int64) journal.Prefix {
	return journal.Prefix{Device: device, Size: size, Root: [16]byte{device[0], byte(size)}}
}

// bench is a keeper that is told of entries one by one.
type bench struct {
	*order.Keeper
	t     *testing.T
	store kept
	next  map[journal.DeviceID]int64
}

func newBench(t *testing.T) *bench {
	store := make(kept)
	return &bench{order.New(roots{}, store), t, store, make(map[journal.DeviceID]int64)}
}

// hears adds an entry and returns how it stands, also when it waits.
func (b *bench) hears(device journal.DeviceID, minute int64, after ...journal.Prefix) *order.Placed {
	b.t.Helper()
	at := journal.Position{Device: device, Index: b.next[device]}
	b.next[device]++
	e := order.Entry{Position: at, ID: idAt(minute*60_000, device[0]), After: after}
	if err := b.Add(e); err != nil {
		b.t.Fatal(err)
	}
	if err := b.Grow(b.t.Context(), device); err != nil {
		b.t.Fatal(err)
	}
	return b.now(at, e.ID)
}

func (b *bench) now(at journal.Position, id journal.EntryID) *order.Placed {
	b.t.Helper()
	p := &order.Placed{Position: at, ID: id, Standing: b.store[at]}
	list, err := b.Waiting(b.t.Context(), at.Device)
	if err != nil {
		b.t.Fatal(err)
	}
	for _, w := range list {
		if w.Position == at {
			p.Standing = w.Standing
		}
	}
	return p
}

// A bench that is eleven minutes slow holds the bleed and opens the line: the
// opening comes after the bleed, whatever its id says.
func TestSlowBenchComesAfterWhatItSaw(t *testing.T) {
	b := newBench(t)
	b.hears("lift", 1)
	bleed := b.hears("pit", 60, cited("lift", 1))
	opening := b.hears("lift", 49, cited("pit", 1))
	if bleed.Relation(opening) != order.Before || bleed.Compare(opening) >= 0 || opening.Place != bleed.Place+1 {
		t.Errorf("the bleed stands at %d, the opening at %d", bleed.Place, opening.Place)
	}
}

// Who saw what another had seen has seen it too.
func TestPastsJoin(t *testing.T) {
	b := newBench(t)
	first := b.hears("a", 90)
	b.hears("b", 2, cited("a", 1))
	last := b.hears("c", 3, cited("b", 1))
	if first.Relation(last) != order.Before || last.Past.Of("a") != 1 || last.Place != first.Place+2 {
		t.Errorf("%+v", last.Standing)
	}
}

// A root that changes under the same size is found.
func TestOtherRootOfTheSameSizeWaits(t *testing.T) {
	b := newBench(t)
	b.hears("a", 1)
	b.hears("b", 2, cited("a", 1))
	wrong := b.hears("b", 3, journal.Prefix{Device: "a", Size: 1, Root: [16]byte{9}})
	if wrong.Wait == nil || *wrong.Wait != (order.Wait{Why: order.OtherRoot, Device: "a", Size: 1}) {
		t.Fatalf("waits for %+v", wrong.Wait)
	}
	after := b.hears("b", 4, cited("a", 1))
	if after.Wait == nil || *after.Wait != (order.Wait{Why: order.HeldUp, Device: "b", Size: 2}) {
		t.Errorf("what follows waits for %+v", after.Wait)
	}
	if held := b.hears("c", 5, cited("b", 1)); held.Wait != nil {
		t.Errorf("who cites what counts waits for %+v", held.Wait)
	}
	if held := b.hears("c", 6, cited("b", 2)); held.Wait == nil || *held.Wait != (order.Wait{Why: order.HeldUp, Device: "b", Size: 2}) {
		t.Errorf("who cites what waits waits for %+v", held.Wait)
	}
}

// Whatever somebody claims to have seen, only his own log waits for it, and
// what he truly saw lifts nobody else's place.
func TestOnlyTheLiarsLogWaits(t *testing.T) {
	wrong := func(device journal.DeviceID, size int64) journal.Prefix {
		return journal.Prefix{Device: device, Size: size, Root: [16]byte{9}}
	}
	for name, c := range map[string]struct {
		cites journal.After
		wait  *order.Wait
	}{
		"all there is":                 {journal.After{cited("a", 2)}, nil},
		"less than before":             {journal.After{cited("a", 1)}, nil},
		"less, by another root":        {journal.After{wrong("a", 1)}, &order.Wait{Why: order.OtherRoot, Device: "a", Size: 1}},
		"more than there is":           {journal.After{cited("a", 3)}, &order.Wait{Why: order.NotHere, Device: "a", Size: 3}},
		"as much as a log may have":    {journal.After{cited("a", journal.MaxLog)}, &order.Wait{Why: order.NotHere, Device: "a", Size: journal.MaxLog}},
		"a log of nobody":              {journal.After{cited("nobody", 1)}, &order.Wait{Why: order.NotHere, Device: "nobody", Size: 1}},
		"its own":                      {journal.After{cited("liar", 1)}, nil},
		"its own, by another root":     {journal.After{wrong("liar", 1)}, &order.Wait{Why: order.OtherRoot, Device: "liar", Size: 1}},
		"itself":                       {journal.After{cited("liar", 2)}, &order.Wait{Why: order.HeldUp, Device: "liar", Size: 2}},
		"its own future":               {journal.After{cited("liar", 3)}, &order.Wait{Why: order.NotHere, Device: "liar", Size: 3}},
		"something true, then a lie":   {journal.After{cited("a", 2), cited("nobody", 1)}, &order.Wait{Why: order.NotHere, Device: "nobody", Size: 1}},
		"one log, and another's other": {journal.After{cited("a", 2), wrong("b", 1)}, &order.Wait{Why: order.OtherRoot, Device: "b", Size: 1}},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			b.hears("a", 1)
			b.hears("a", 2)
			b.hears("b", 2)
			b.hears("liar", 3, cited("a", 2))
			lie := b.hears("liar", 4, c.cites...)
			if c.wait == nil != (lie.Wait == nil) || c.wait != nil && *lie.Wait != *c.wait {
				t.Errorf("waits for %+v, want %+v", lie.Wait, c.wait)
			}
			if lie.Past.Of("a") != 2 || lie.Past.Of("liar") != 0 {
				t.Errorf("its past is %v", lie.Past)
			}
			next := b.hears("liar", 5)
			if (next.Wait == nil) != (c.wait == nil) {
				t.Errorf("what follows waits for %+v", next.Wait)
			}
			if honest := b.hears("b", 6, cited("a", 2), cited("liar", 1)); honest.Wait != nil {
				t.Errorf("who cites what counts of it waits for %+v", honest.Wait)
			}
		})
	}
}

// Two logs that cite each other count as soon as both are here.
func TestLogsThatCiteEachOther(t *testing.T) {
	b := newBench(t)
	b.hears("a", 1)
	late := b.hears("a", 3, cited("b", 1))
	if late.Wait == nil || *late.Wait != (order.Wait{Why: order.NotHere, Device: "b", Size: 1}) {
		t.Fatalf("waits for %+v", late.Wait)
	}
	b.hears("b", 2, cited("a", 1))
	if late = b.now(late.Position, late.ID); late.Wait != nil || late.Past.Of("b") != 1 {
		t.Errorf("%+v", late.Standing)
	}
}

// Who cites the lost branch of a log waits until the register names the last
// common entry, and then counts with as much of it.
func TestForkIsCountedUpToTheLastCommonEntry(t *testing.T) {
	b := newBench(t)
	b.hears("a", 1)
	other := b.hears("b", 3, journal.Prefix{Device: "a", Size: 2, Root: [16]byte{9}})
	if other.Wait == nil {
		t.Fatal("who cites what is not here does not wait")
	}
	if anew := b.Close("a", 1); anew {
		t.Fatal("nothing was counted beyond the closing, and all is to be worked out anew")
	}
	if err := b.Grow(t.Context(), "a"); err != nil {
		t.Fatal(err)
	}
	if other = b.now(other.Position, other.ID); other.Wait != nil || other.Past.Of("a") != 1 {
		t.Errorf("%+v", other.Standing)
	}
	beyond := b.hears("a", 2)
	if beyond.Wait == nil || *beyond.Wait != (order.Wait{Why: order.Closed, Device: "a", Size: 1}) {
		t.Errorf("beyond the closing %+v", beyond.Standing)
	}
	if !b.Close("a", 0) {
		t.Error("a closing cuts what was counted, and nobody says so")
	}
}

// A log that has another history goes on where it parts from that. Who cites
// the other one waits until the register names the last common entry, and then
// counts with as much of it; who cites this one counts with all.
func TestALogThatGoesOnBesideAnotherHistory(t *testing.T) {
	b := newBench(t)
	b.hears("hub", 1)
	b.hears("hub", 2)
	lost := b.hears("b", 3, journal.Prefix{Device: "hub", Size: 2, Root: [16]byte{9}})
	more := b.hears("c", 3, journal.Prefix{Device: "hub", Size: 3, Root: [16]byte{9}})
	here := b.hears("d", 3, cited("hub", 2))
	if lost.Wait == nil || more.Wait == nil || here.Wait != nil {
		t.Fatalf("waiting: %+v, %+v, %+v", lost.Wait, more.Wait, here.Wait)
	}
	b.Part("hub", 1)
	if err := b.Grow(t.Context(), "hub"); err != nil {
		t.Fatal(err)
	}
	if lost = b.now(lost.Position, lost.ID); lost.Wait != nil || lost.Past.Of("hub") != 1 {
		t.Errorf("who had seen another second entry: %+v", lost.Standing)
	}
	if here = b.now(here.Position, here.ID); here.Wait != nil || here.Past.Of("hub") != 2 {
		t.Errorf("who had seen this one: %+v", here.Standing)
	}
	// Which history it is that is longer than what is here, nobody knows yet.
	if more = b.now(more.Position, more.ID); more.Wait == nil || *more.Wait != (order.Wait{Why: order.NotHere, Device: "hub", Size: 3}) {
		t.Errorf("who had seen more than is here: %+v", more.Standing)
	}
	b.hears("hub", 4)
	if more = b.now(more.Position, more.ID); more.Wait != nil || more.Past.Of("hub") != 1 {
		t.Errorf("who had seen more of another one: %+v", more.Standing)
	}
	liar := b.hears("d", 5, journal.Prefix{Device: "hub", Size: 1, Root: [16]byte{9}})
	if liar.Wait == nil || liar.Wait.Why != order.OtherRoot {
		t.Errorf("who names another beginning: %+v", liar.Standing)
	}
	if after := b.hears("b", 6, cited("hub", 3)); after.Wait != nil || after.Past.Of("hub") != 3 {
		t.Errorf("who has come back to this one: %+v", after.Standing)
	}
}

// Ids decide between entries of logs that carry no after yet, and no others.
func TestIDsDecideBetweenOldLogs(t *testing.T) {
	b := newBench(t)
	one, two := b.hears("a", 1), b.hears("b", 2)
	if one.Relation(two) != order.Before || two.Relation(one) != order.After {
		t.Error("ids do not decide between logs that carry nothing")
	}
	three := b.hears("c", 3, cited("a", 1))
	if three.Old || one.Relation(three) != order.Before || two.Relation(three) != order.Unknown {
		t.Error("a log that carries after and one that does not")
	}
	if later := b.hears("c", 4); later.Old {
		t.Error("a log that carried after may leave it out")
	}
	if anew, err := b.Note(t.Context(), "b", 1); anew || err != nil {
		t.Errorf("a word about later entries has all worked out anew, %v", err)
	}
	if four := b.hears("b", 5); four.Old || four.Relation(three) != order.Unknown {
		t.Error("ids decide where the register says that the log carries after")
	}
	if anew, err := b.Note(t.Context(), "b", 0); !anew || err != nil {
		t.Errorf("a word about earlier entries changes nothing, %v", err)
	}
}

func TestEntriesOfALogComeInTheirOrder(t *testing.T) {
	k := order.New(roots{}, make(kept))
	if err := k.Add(order.Entry{Position: journal.Position{Device: "a", Index: 1}}); err == nil {
		t.Error("an entry was taken in before its predecessor")
	}
}
