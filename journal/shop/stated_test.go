package shop_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/order"
)

// Of two entries of a run somebody says on one of its jobs which was first. That
// is known of the run, also where another of its jobs is looked at.
func TestOrderIsStatedOfARun(t *testing.T) {
	says := func(first, then journal.EntryID) *journal.OrderStatement {
		return &journal.OrderStatement{First: first, Then: then, How: "I stood beside it"}
	}
	for _, c := range []struct {
		what   string
		states func(t *testing.T, write func(journal.Payload) journal.EntryID, first, then journal.EntryID)
	}{
		{"said", func(_ *testing.T, write func(journal.Payload) journal.EntryID, first, then journal.EntryID) {
			write(says(first, then))
		}},
		{"said of others, and corrected", func(t *testing.T, write func(journal.Payload) journal.EntryID, first, then journal.EntryID) {
			one, other := write(&journal.Remark{Evidence: journal.Evidence{Note: "one"}}), write(&journal.Remark{Evidence: journal.Evidence{Note: "other"}})
			slip := write(says(one, other))
			raw, err := journal.MarshalPayload(says(first, then))
			if err != nil {
				t.Fatal(err)
			}
			write(&journal.Correction{Of: slip, Reason: "wrong entries", Data: raw})
		}},
	} {
		t.Run(c.what, func(t *testing.T) {
			w := newSeers(t)
			s, idx := open(t, w.logs, t.TempDir())
			defer idx.Close()
			rack := journal.Rack{Parts: []journal.Subject{journal.About("j0b00001", "LF", "caliper"), journal.About("j0b00002", "LF", "caliper")}}
			w.write("hub", "person/io", "io", &journal.Person{Person: "io", Initials: "IO"})
			for _, d := range few.devices[1:] {
				w.seen.meet(d, "hub")
			}
			then := w.write("bench-1", "run/bake-1", "mk", &journal.Blasting{Rack: rack, Media: "glass bead"})
			first := w.write("bench-2", "run/bake-1", "io", &journal.Coating{Rack: rack, Lot: "pw-1", Coat: 1})
			relation := func() order.Relation {
				t.Helper()
				if err := s.Follow(t.Context()); err != nil {
					t.Fatal(err)
				}
				v := s.View(t.Context())
				about := journal.About("j0b00002", "", "")
				return v.Within(about, first).Relation(v.Within(about, then))
			}
			if r := relation(); r != order.Unknown {
				t.Fatalf("before anybody said so: %d", r)
			}
			w.seen.meet("bench-2", "bench-1")
			c.states(t, func(p journal.Payload) journal.EntryID {
				return w.write("bench-2", journal.About("j0b00001", "", ""), "io", p)
			}, first, then)
			if r := relation(); r != order.Before {
				t.Errorf("said on another job of the run: %d", r)
			}
		})
	}
}
