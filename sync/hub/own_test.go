package hub_test

import (
	"errors"
	"testing"

	"fettlebook/journal"
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
