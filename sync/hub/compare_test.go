package hub_test

import (
	"errors"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

// A device is asked for a history that the hub does not hold, and for nothing
// else, whatever it says.
func TestCompareHistories(t *testing.T) {
	r := open(t)
	tab, other := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	r.send(tab.device, r.encode(tab.write(3)))
	r.countersigned(tab, 3)
	at := func(device journal.DeviceID, size int64) segment.Root {
		t.Helper()
		root, err := r.db.RootAt(t.Context(), device, size)
		must(t, err)
		return segment.Root{Device: device, Size: size, Root: root}
	}
	another := func(device journal.DeviceID, size int64) segment.Root {
		return segment.Root{Device: device, Size: size, Root: [32]byte{1}}
	}
	for name, c := range map[string]struct {
		by    journal.DeviceID
		logs  []segment.Root
		apart []journal.DeviceID
	}{
		"nothing":            {by: other.device},
		"the same":           {by: other.device, logs: []segment.Root{at(tab.device, 3), at(r.device, 1)}},
		"the same beginning": {by: other.device, logs: []segment.Root{at(tab.device, 2)}},
		"another":            {by: other.device, logs: []segment.Root{another(tab.device, 2)}, apart: []journal.DeviceID{tab.device}},
		"more than is here":  {by: other.device, logs: []segment.Root{another(tab.device, 4)}},
		"no size":            {by: other.device, logs: []segment.Root{another(tab.device, 0), another(r.device, -1)}},
		"a log of nobody":    {by: other.device, logs: []segment.Root{another("t9zzzzzz", 1)}},
		"its own":            {by: tab.device, logs: []segment.Root{another(tab.device, 2)}},
	} {
		var got segment.CompareReply
		must(t, r.ask(c.by, segment.Compare, segment.CompareAsk{Logs: c.logs}, &got))
		if !slices.Equal(got.Apart, c.apart) {
			t.Errorf("%s: apart are %v, want %v", name, got.Apart, c.apart)
		}
	}
	// Nothing was found out by what was only said.
	r.restart()
	r.ready()
	r.send(tab.device, r.encode(tab.write(1)))
	r.countersigned(tab, 4)
	if n := count[*journal.ForkFound](r.register()); n != 0 {
		t.Errorf("the register names %d forks", n)
	}
}

// A device with another history of the hub's own log can bring nothing of it
// back, however much of it it holds: the hub does not wait for that.
func TestAnotherRegisterIsNotWaitedFor(t *testing.T) {
	r := open(t)
	tab := r.joined("t1aaaaaa")
	person := journal.Draft{Subject: journal.Of("person", "io"), By: by, Data: &journal.Person{Person: "io", Initials: "IO"}}
	claim := func() {
		t.Helper()
		must(t, r.ask(tab.device, segment.Greet, segment.Greeting{Holds: []segment.Reach{{Device: r.device, Size: 1000}}}, new(segment.Welcome)))
	}
	claim()
	if _, err := r.hub.Append(t.Context(), person); !errors.Is(err, hub.ErrRecovering) {
		t.Errorf("append while a device may bring more: %v, want ErrRecovering", err)
	}
	must(t, r.ask(tab.device, segment.Compare, segment.CompareAsk{Logs: []segment.Root{{Device: r.device, Size: 1, Root: [32]byte{1}}}}, new(segment.CompareReply)))
	for range 2 {
		if _, err := r.hub.Append(t.Context(), person); err != nil {
			t.Errorf("append when nothing is to be had: %v", err)
		}
		claim()
	}
}
