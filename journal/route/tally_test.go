package route_test

import (
	"testing"

	"fettlebook/journal/route"
)

// Every state that a hold point can have is counted, and none twice.
func TestTally(t *testing.T) {
	var v route.Verdicts
	for i, state := range []route.State{route.Met, route.Waived, route.Open, route.Broken, route.InDoubt} {
		for range i + 1 {
			v.List = append(v.List, route.Verdict{State: state})
		}
	}
	if got := v.Tally(); got != (route.Tally{Met: 1, Waived: 2, Open: 3, Broken: 4, InDoubt: 5}) {
		t.Errorf("counted %+v", got)
	}
	for tally, says := range map[route.Tally]string{
		{Met: 1, Waived: 2, Open: 3, Broken: 4, InDoubt: 5}: "1 met, 3 open, 4 broken, 2 waived, 5 in doubt",
		{}: "0 met, 0 open, 0 broken, 0 waived",
	} {
		if got := tally.String(); got != says {
			t.Errorf("%q, not %q", got, says)
		}
	}
}
