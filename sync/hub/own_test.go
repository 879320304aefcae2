package hub_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// An entry that is in the hub's log and that the stream does not take, or takes without
// saying so, is written: who wrote it gets it, and hears what is still to come. The hub
// brings it into the stream by itself, once.
func TestWrittenAndNotInTheStream(t *testing.T) {
	cut := errors.New("the line is cut")
	for name, way := range map[string]func(publish func() error) error{
		"not taken":          func(func() error) error { return cut },
		"taken, and no word": func(publish func() error) error { return errors.Join(publish(), cut) },
	} {
		t.Run(name, func(t *testing.T) {
			r := open(t)
			before := len(r.register())
			r.publishing.Store(&way)
			e, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("person", "mk"), By: by, Data: &journal.Person{Person: "mk", Initials: "MK"}})
			var after *journal.Written
			if e == nil || !errors.As(err, &after) || !errors.Is(err, cut) {
				t.Fatalf("got %v, %v", e, err)
			}
			if n := len(r.register()); n != before+1 {
				t.Fatalf("the log has %d entries, and had %d", n, before)
			}
			r.publishing.Store(nil)
			next, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("person", "jr"), By: by, Data: &journal.Person{Person: "jr", Initials: "JR"}})
			if err != nil || next == nil {
				t.Fatal(err)
			}
			r.restart(database...) // what it knows now it has from the stream
			r.ready()
			var people []journal.PersonID
			for _, p := range r.register() {
				if person, ok := p.(*journal.Person); ok {
					people = append(people, person.Person)
				}
			}
			if len(people) != 2 || people[0] != "mk" || people[1] != "jr" {
				t.Errorf("out of the stream come %v", people)
			}
		})
	}
}

// Somebody puts messages into the stream under the names that the hub's next ones may
// have. What the hub writes is in the stream all the same before it acts on it: a hub
// that has nothing but the stream knows who was revoked.
func TestNobodyTakesTheHubsPlaceInTheStream(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	held := len(r.register())
	for first := held - 1; first < held+3; first++ {
		for end := first + 1; end < held+4; end++ {
			m := &nats.Msg{Subject: segment.LogSubject(r.shop, tab.device), Data: []byte("nothing"), Header: nats.Header{}}
			m.Header.Set(jetstream.MsgIDHeader, fmt.Sprintf("%s/%d-%d", r.device, first, end))
			_, err := r.js.PublishMsg(t.Context(), m)
			must(t, err)
		}
	}
	r.invite("bench 2", time.Hour)
	_, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("device", string(tab.device)), By: by,
		Data: &journal.Revocation{Device: tab.device, Reason: "left on a car roof"}})
	must(t, err)
	r.until("the tablet to be shut out", func() bool { return len(r.admitted()) == 0 })
	r.restart(database...)
	r.ready()
	if list := r.register(); count[*journal.Invitation](list) != 2 || count[*journal.Revocation](list) != 1 {
		t.Errorf("out of the stream come %d invitations and %d revocations", count[*journal.Invitation](list), count[*journal.Revocation](list))
	}
}

// A message that the stream dropped as the repeat of another is not in it, and the hub
// does not act on what it says.
func TestDroppedAsARepeat(t *testing.T) {
	r := open(t)
	r.repeat.Store(true)
	_, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("person", "mk"), By: by, Data: &journal.Person{Person: "mk", Initials: "MK"}})
	var after *journal.Written
	if !errors.As(err, &after) {
		t.Fatalf("got %v", err)
	}
	r.repeat.Store(false)
	r.invite("bench", time.Hour)
	r.restart(database...)
	r.ready()
	if n := count[*journal.Person](r.register()); n != 1 {
		t.Errorf("out of the stream come %d people", n)
	}
}

// Nobody is named for what lies in the stream and is not to be had: an earlier hub let
// devices publish there, and its broker answered on any subject that one of them named.
func TestWhatLiesInTheStreamIsNobodys(t *testing.T) {
	r := open(t)
	tab := r.joined("t3fz8c1n")
	r.send(tab.device, r.encode(tab.write(3)))
	r.countersigned(tab, 3)
	_, err := r.js.Publish(t.Context(), segment.LogSubject(r.shop, tab.device), []byte(`{"stream":"x","seq":7}`))
	must(t, err)
	r.restart(database...)
	r.ready()
	r.countersigned(tab, 3)
	if q := r.quarantined(tab.device); len(q) != 0 {
		t.Errorf("in quarantine under the name of %s: %q", tab.device, q)
	}
	if q := r.quarantined(""); len(q) != 1 {
		t.Errorf("in quarantine under nobody's name: %q", q)
	}
}
