package route_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// supplied is a card that comes with the program.
func supplied(tb testing.TB, name journal.RouteID) *card.Card {
	tb.Helper()
	read, ok := cards()[name]
	if !ok {
		tb.Fatalf("card %s cannot be read", name)
	}
	return read
}

// stands returns how a hold stands for a thing; "" if it does not concern it.
func stands(v route.Verdicts, hold journal.HoldID, about journal.Subject) route.Verdict {
	for _, one := range v.List {
		if one.Hold == hold && one.Subject == about {
			return one
		}
	}
	return route.Verdict{}
}

// checked is how all hold points stand, for each thing by itself.
func checked(pinned *card.Card, log []journal.Logged) route.Verdicts {
	job, shop := fold(log)
	h := held(pinned, job, shop)
	v := h.Check()
	v.List = slices.Collect(route.Each(h.Grid()))
	return v
}

// held is a job held against a card, in the order of replay.
func held(by *card.Card, job *record.Job, shop *record.Shop) *route.Held {
	return route.Hold(by, job, facts.StockOf(shop))
}

// A job in which everything was done meets every hold, and may be released.
func TestCompleteJob(t *testing.T) {
	pinned := supplied(t, "caliper")
	w := complete(t).write()
	v := checked(pinned, w.log)
	for _, one := range v.List {
		if one.State != route.Met {
			t.Errorf("%s %s: %s: %s", one.Hold, one.Subject, one.State, one.Why)
		}
		if len(one.Entries) == 0 && one.Hold != "defects" || one.Limit == "" || one.Source == "" || len(one.Figures) == 0 {
			t.Errorf("%s %s: says too little: %+v", one.Hold, one.Subject, one)
		}
	}
	job, shop := fold(w.log)
	if err := held(pinned, job, shop).Check().MayRelease(); err != nil {
		t.Error(err)
	}
	for _, s := range pinned.Stages {
		for _, h := range s.Holds {
			concerned := slices.Contains([]journal.HoldID{"flare-torque", "heat-dose", "sound"}, h.ID) // its lines join by banjos, its parts are of iron, and nothing was found at them
			for _, one := range v.List {
				concerned = concerned || one.Hold == h.ID
			}
			if !concerned {
				t.Errorf("the hold %s concerns nobody in the complete job", h.ID)
			}
		}
	}
}

// For every safety hold: without any one of the entries that it rests on it is
// no longer met.
func TestEveryEntryIsNeeded(t *testing.T) {
	pinned := supplied(t, "caliper")
	w := complete(t).write()
	tried := 0
	for _, hold := range checked(pinned, w.log).List {
		if hold.Class != card.Safety {
			continue
		}
		for _, id := range hold.Entries {
			tried++
			now := stands(checked(pinned, w.without(t, id)), hold.Hold, hold.Subject)
			if now.State == route.Met {
				t.Errorf("%s %s is met without the entry %s (%s)", hold.Hold, hold.Subject, id, nameOf(w, id))
			}
		}
	}
	if tried < 80 {
		t.Errorf("only %d entries were tried", tried)
	}
}

func nameOf(w written, id journal.EntryID) string {
	for name, is := range w.ids {
		if is == id {
			return name
		}
	}
	return "?"
}
