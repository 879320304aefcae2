package figure_test

import (
	"testing"

	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/journal/route"
)

// What is not met stands first and alone; of what is met, the hold points are counted thing
// by thing, and nothing is lost or said twice.
func TestWhatIsMetIsFolded(t *testing.T) {
	f := figure.Figure{Say: []figure.Sentence{
		{Text: "too cool", State: route.Broken, Holds: 1}, {Text: "in the oven for 45 min"}, {Text: "waived", State: route.Waived, Holds: 1}, {Text: "masked", State: route.Met, Holds: 4}, {Text: "dry", State: route.Met, Holds: 2}, {Text: "in calibration", State: route.Met},
	}}
	if open, met, told := f.Unmet(), f.Met(), f.Told(); len(open) != 2 || open[0].Text != "too cool" || len(met) != 3 || len(told) != 1 || f.Folded() != "6 hold points met" {
		t.Errorf("open are %+v, met %+v, told is %+v, in short %q", open, met, told, f.Folded())
	}
	if len(f.Say) != 6 || f.Say[3].Text != "masked" {
		t.Errorf("the figure was changed: %+v", f.Say)
	}
	if none := (figure.Figure{}); len(none.Unmet())+len(none.Met()) != 0 || none.Folded() != "What is met" {
		t.Error("a figure of nothing says something")
	}
}
