package route_test

import (
	"maps"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

// An ordinary front pair, two calipers and two brackets, asks for at most 24
// photographs and at most 60 hold points, and for no safety question less.
func TestWhatAFrontPairAsksFor(t *testing.T) {
	s := front().play(t, "cost")
	s.drop("LF bag empty", "RF bag empty")
	var names []string
	for _, st := range s.steps {
		names = append(names, st.name)
	}
	unseen(names...)(s)
	h := newFloor(t).handBack(s)
	photographs, bags := make(map[route.Todo]bool), 0
	for _, todo := range h.standing.Next {
		if todo.Task == route.Photograph || todo.Task == route.TooLate {
			photographs[route.Todo{Subject: todo.Subject, Stage: todo.Stage, Shows: todo.Shows}] = true
		}
	}
	safety := make(map[journal.HoldID]bool)
	for v := range route.Each(h.standing.Rows) {
		if v.Hold == "bag-empty" && v.State != route.Met {
			bags++ // a photograph that no stage lists
		}
		if v.Class == card.Safety {
			safety[v.Hold] = true
		}
	}
	if n := len(photographs) + bags; n > 24 || n < 12 {
		t.Errorf("it asks for %d photographs: %v", n, slices.Collect(maps.Keys(photographs)))
	}
	if n := len(h.standing.Verdicts.List); n > 60 {
		t.Errorf("it shows %d hold points", n)
	}
	want := []journal.HoldID{"all-back", "banjo-torque", "bled", "bled-complete", "bleeder-up", "bracket-torque", "caliper-torque", "fluid", "leak", "line-closed", "masked",
		"pedal", "plugs-out", "rebuilt", "reservoir", "road", "rubber-out", "seats-bare", "second-person", "washers", "wheel"}
	if got := slices.Sorted(maps.Keys(safety)); !slices.Equal(got, want) {
		t.Errorf("the safety questions are %v", got)
	}
	t.Logf("%d photographs, %d hold points", len(photographs)+bags, len(h.standing.Verdicts.List))
}
