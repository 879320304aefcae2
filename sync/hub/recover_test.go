package hub_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

// One of the two copies is enough, whichever is lost, and the other is made
// anew from it.
func TestRecoverFromOneCopy(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	r.send(tab.device, r.encode(tab.write(30)))
	r.countersigned(tab, 30)
	want := len(r.register())
	for _, v := range []struct {
		name string
		lost []string
	}{
		{"nothing", nil}, {"the stream", []string{"broker"}}, {"the database", database}, {"the stream again", []string{"broker"}}, {"the database again", database},
	} {
		r.restart(v.lost...)
		r.ready()
		r.countersigned(tab, 30)
		if got := len(r.register()); got != want {
			t.Errorf("without %s: %d entries in the register, want %d", v.name, got, want)
		}
		if q := r.quarantined(tab.device); len(q) > 0 {
			t.Errorf("without %s: in quarantine %q", v.name, q)
		}
	}
	r.send(tab.device, r.encode(tab.write(1)))
	r.countersigned(tab, 31)
}

// A hub that lost both writes nothing until a tablet has brought its own log
// back, and lets in whom it let in before.
func TestRecoverFromATablet(t *testing.T) {
	r := open(t)
	tab, second := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	r.send(tab.device, r.encode(tab.write(3)))
	r.countersigned(tab, 3)
	register, err := r.db.Segment(t.Context(), r.device, 0, journal.MaxSegmentBytes)
	must(t, err)
	r.restart(append(slices.Clone(database), "broker")...)

	greet := func() (w segment.Welcome) {
		t.Helper()
		must(t, r.ask(tab.device, segment.Greet, segment.Greeting{Holds: []segment.Reach{
			{Device: tab.device, Size: 3}, {Device: r.device, Size: register.End()}}}, &w))
		return w
	}
	w := greet()
	if len(w.Wants) != 1 || w.Wants[0] != (segment.Reach{Device: r.device}) {
		t.Errorf("the hub wants %v, want its own log from the start", w.Wants)
	}
	select {
	case <-r.hub.Ready():
		t.Fatal("ready without its register")
	default:
	}
	if in := r.admitted(); len(in) != 2 || in[0].Device != tab.device {
		t.Errorf("let in meanwhile: %+v", in)
	}
	// Whose key nobody vouches for is not taken in, and nothing is wrong with it.
	must(t, r.ask(second.device, segment.Give, segment.GiveAsk{Segment: r.encode(tab.segment(0, 3))}, nil))
	if held := greet().Holds; slices.ContainsFunc(held, func(h segment.Reach) bool { return h.Device == tab.device && h.Size > 0 }) {
		t.Errorf("taken in without a key: %v", held)
	}
	if q := r.quarantined(tab.device); len(q) > 0 {
		t.Errorf("in quarantine: %q", q)
	}
	must(t, r.ask(tab.device, segment.Give, segment.GiveAsk{Segment: r.encode(register)}, nil))
	r.ready()
	greet()
	must(t, r.ask(second.device, segment.Greet, segment.Greeting{}, new(segment.Welcome)))
	if _, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("person", "io"), By: by,
		Data: &journal.Person{Person: "io", Initials: "IO"}}); err != nil {
		t.Errorf("write after all was heard: %v", err)
	}
	r.send(tab.device, r.encode(tab.segment(0, 3)))
	r.countersigned(tab, 3)
	if n := count[*journal.Shop](r.register()); n != 1 {
		t.Errorf("founded %d times", n)
	}
}

// Where a device says that it holds more of the hub's log and never brings
// it, the hub waits as long as its patience and not longer.
func TestPatienceEnds(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	must(t, r.ask(tab.device, segment.Greet, segment.Greeting{Holds: []segment.Reach{{Device: r.device, Size: 1000}}}, new(segment.Welcome)))
	person := journal.Draft{Subject: journal.Of("person", "io"), By: by, Data: &journal.Person{Person: "io", Initials: "IO"}}
	if _, err := r.hub.Append(t.Context(), person); !errors.Is(err, hub.ErrRecovering) {
		t.Errorf("append while a device may bring more: %v, want ErrRecovering", err)
	}
	r.ahead.Store(int64(hub.DefaultPatience + time.Second))
	if _, err := r.hub.Append(t.Context(), person); err != nil {
		t.Errorf("append after the hub’s patience: %v", err)
	}
}
