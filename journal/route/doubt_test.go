package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// doubted judges a job in every order that is as true.
func doubted(pinned *card.Card, log []journal.Logged) (plain, sure route.Verdicts) {
	book := record.NewBook(journal.Authority{Hub: office})
	for _, l := range log {
		book.Add(l)
	}
	shop := book.Shop()
	held := route.Hold(pinned, shop.Job(jobID), facts.StockOf(shop))
	for b := range book.Lates(nil) {
		other := b.Shop()
		held.Late(route.Hold(pinned, other.Job(jobID), facts.StockOf(other)))
	}
	return route.Check(pinned, shop.Job(jobID), shop), held.Check()
}

// What another tablet did, of which nobody knows when, has every hold in doubt
// that it would have broken at the end, although it stands early by its clock;
// where the benches had seen it, nothing is in doubt.
func TestHoldsAreInDoubtWhereOrderIsNotKnown(t *testing.T) {
	pinned := supplied(t, "caliper")
	inDoubt := 0
	// These are broken by what comes between two others only; at the end it
	// breaks nothing.
	within := map[journal.HoldID]bool{"no-chlorine": true, "masked": true, "soaked": true}
	for _, trial := range trials() {
		if trial.late.data == nil || trial.behind == "" {
			continue
		}
		t.Run(string(trial.hold), func(t *testing.T) {
			stand := func(apart bool) (plain, sure route.Verdict, w written) {
				s := complete(t)
				s.citing = true
				early := trial.late
				early.on, early.apart = "bench-9", apart
				s.after("opened", early)
				w = s.write()
				p, d := doubted(pinned, w.log)
				return stands(p, trial.hold, trial.about), stands(d, trial.hold, trial.about), w
			}
			known, still, _ := stand(false)
			if known.State != still.State {
				t.Errorf("all had seen it, and it stands %s: %s", still.State, still.Why)
			}
			plain, sure, w := stand(true)
			if plain.State != known.State {
				t.Fatalf("%s where it was seen, %s where not", known.State, plain.State)
			}
			if plain.State != route.Met {
				return
			}
			if within[trial.hold] {
				return
			}
			inDoubt++
			if sure.State != route.InDoubt || !strings.Contains(sure.Why, "bench-9") || !strings.Contains(sure.Why, "UTC+") || len(sure.Doubtful) != 2 ||
				sure.Doubtful[0] != w.ids["late"] && sure.Doubtful[1] != w.ids["late"] {
				t.Errorf("stands %s: %s %v", sure.State, sure.Why, sure.Doubtful)
			}
		})
	}
	if inDoubt < 10 {
		t.Errorf("only %d holds were in doubt, so this test proves little", inDoubt)
	}
}

// Of a job whose tablets had all seen each other, and of one whose logs carry
// nothing, no hold is in doubt.
func TestNothingIsInDoubtWhereOrderIsKnown(t *testing.T) {
	pinned := supplied(t, "caliper")
	for _, citing := range []bool{false, true} {
		s := eventful(t)
		s.citing = citing
		plain, sure := doubted(pinned, s.write().log)
		for i, v := range plain.List {
			if sure.List[i].State != v.State {
				t.Errorf("citing %t: %s of %s stands %s: %s", citing, v.Hold, v.Subject, sure.List[i].State, sure.List[i].Why)
			}
		}
	}
}
