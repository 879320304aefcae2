package route_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

// Every hold of every supplied card that is not met leads to where what it lacks can be
// given: whatever was done so far, whatever was left out, and whatever proves nothing. The
// table is printed with -v.
func TestEveryHoldHasAWay(t *testing.T) {
	for name, play := range map[journal.RouteID]func(testing.TB) *story{"caliper": complete, "arm": arms} {
		pinned := supplied(t, name)
		led := make(map[journal.HoldID]map[string]bool) // how each hold was led on
		try := func(s *story) {
			for _, v := range checked(pinned, s.write().log).List {
				ways := v.Ways(pinned)
				if v.State == route.Met || v.State == route.Waived {
					if len(ways) > 0 {
						t.Errorf("%s %s is %s and leads to %v", v.Hold, v.Subject, v.State, ways)
					}
					continue
				}
				if len(ways) == 0 {
					t.Errorf("%s %s is %s and leads nowhere: %s", v.Hold, v.Subject, v.State, v.Why)
				}
				for _, w := range ways {
					lawful(t, pinned, v, w)
					if led[v.Hold] == nil {
						led[v.Hold] = make(map[string]bool)
					}
					led[v.Hold][fmt.Sprintf("%s %s", w.Stage, w.Kind)] = true
				}
			}
		}
		whole := play(t)
		first := whole.index("opened") + 1
		for until := first; until <= len(whole.steps); until++ { // not further than that
			try(&story{tb: t, steps: slices.Clone(whole.steps[:until])})
		}
		for i := range whole.steps { // without one of its steps, or a thing of the register
			if st := whole.steps[i].name; st == "opened" || st == "road" || st == "second" {
				continue
			}
			try(&story{tb: t, steps: slices.Delete(slices.Clone(whole.steps), i, i+1)})
		}
		for i := range pinned.Stages {
			for _, h := range pinned.Stages[i].Holds {
				ways := slices.Sorted(maps.Keys(led[h.ID]))
				t.Logf("%-8s %-20s %v", name, h.ID, ways)
				if len(ways) == 0 && !notHere[h.ID] {
					t.Errorf("%s: the hold %s was never unmet here", name, h.ID)
				}
			}
		}
	}
}

// lawful holds a way against what entries may be about, and the card's stages.
func lawful(t testing.TB, by *card.Card, v route.Verdict, w route.Way) {
	t.Helper()
	if s := by.Stage(w.Stage); w.Stage != "" && (s == nil || !s.Stands(w.About) || w.Kind != "" && !slices.Contains(s.Kinds(), w.Kind)) {
		t.Errorf("%s %s leads to the stage %q of %s for %s, which is not there", v.Hold, v.Subject, w.Stage, w.About, w.Kind)
	}
	if places := w.Kind.Places(); w.Stage == "" && len(places) > 0 && !slices.Contains(places, w.About.Word()) {
		t.Errorf("%s %s leads to %s about %s, where none may stand", v.Hold, v.Subject, w.Kind, w.About)
	}
	if _, err := journal.ParseSubject(string(w.About)); err != nil {
		t.Errorf("%s %s leads to %s of nothing: %v", v.Hold, v.Subject, w.Kind, err)
	}
}

// notHere are the holds that these jobs are not asked for.
var notHere = map[journal.HoldID]bool{"flare-torque": true, "sound": true}
