package sheet_test

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"testing"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

func TestBound(t *testing.T) {
	for _, test := range []struct {
		bound     sheet.Bound
		want      string
		low, high float64
	}{
		{sheet.Between(48, 120, 1, "µm"), "48.0 to 120.0 µm", 48, 120},
		{sheet.AtLeast(3, 1, "K"), "at least 3.0 K", 3, math.Inf(1)},
		{sheet.AtMost(240, 0, "µm"), "at most 240 µm", math.Inf(-1), 240},
		{sheet.AtLeast(60, 1, "µm").As("at least 60 µm"), "at least 60 µm", 60, math.Inf(1)},
		{sheet.Words("not below MIN"), "not below MIN", math.Inf(-1), math.Inf(1)},
	} {
		if test.bound.String() != test.want || test.bound.Low != test.low || test.bound.High != test.high {
			t.Errorf("%v from %g to %g, want %s from %g to %g", test.bound, test.bound.Low, test.bound.High, test.want, test.low, test.high)
		}
	}
}

func TestNumbers(t *testing.T) {
	for got, want := range map[string]string{
		sheet.Number(-0.04, 1): "0.0", sheet.Number(-0.05, 1): "-0.1", sheet.Number(100, 0): "100", sheet.Number(0, 0): "0",
		sheet.Significant(0): "0", sheet.Significant(0.0152): "0.0152", sheet.Significant(1234.56): "1235", sheet.Significant(-20.714): "-20.71",
		sheet.Significant(math.Inf(1)): "+Inf", sheet.Percent(0.2785): "27.85 %",
	} {
		if got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// Parts of a calculation keep their order for people, and stand under their names for
// programs.
func TestUnder(t *testing.T) {
	var part, whole sheet.Sheet
	part.Figure("lost_kn", "lost to creep", 8.14, 1, "kN")
	part.Limit("creep", sheet.Words("none"), "shop default", "creep")
	part.Conclude("loose", sheet.Failed, "the bolt is loose")
	whole.Span("least_kn", "most_kn", "clamp", 32.4, 48.6, 1, "kN")
	whole.PutKnown("class", "")
	whole.Under("creep", part)
	whole.Put("runs", [][]sheet.Result{part.Results})
	whole.Find("done")

	var read []string
	sheet.Read(whole.Results, func(r sheet.Result) { read = append(read, r.Label+": "+r.Words) })
	if want := []string{"clamp: 32.4 to 48.6 kN", "lost to creep: 8.1 kN", "lost to creep: 8.1 kN"}; !slices.Equal(read, want) {
		t.Errorf("%q, want %q", read, want)
	}
	var names []string
	for _, r := range whole.Results {
		names = append(names, r.Name)
	}
	if want := []string{"least_kn", "most_kn", "creep", "runs"}; !slices.Equal(names, want) {
		t.Errorf("%q, want %q", names, want)
	}
	raw, err := json.Marshal(whole)
	if want := `{"formula":null,"inputs":null,"limits":[{"name":"creep","limit":"none","source":"shop default"}],"warnings":null,"verdict":["the bolt is loose","done"]}`; err != nil || string(raw) != want {
		t.Errorf("%s, %v, want %s", raw, err, want)
	}
}

// A figure that differs from its limit by less than a conversion's rounding equals it.
func TestLimits(t *testing.T) {
	third := 1.0 / 3
	for _, value := range []float64{third * 3, 1 - 1e-12, 1 + 1e-12} {
		if sheet.Below(value, 1) || sheet.Above(value, 1) {
			t.Errorf("%v does not equal 1", value)
		}
	}
	if !sheet.Below(0.999, 1) || !sheet.Above(1.001, 1) || sheet.Below(math.NaN(), 1) || sheet.Above(1, math.NaN()) {
		t.Error("a figure beside its limit is taken for equal, or none for one")
	}
}

func TestRefuse(t *testing.T) {
	err := sheet.Refuse("the reading", sheet.Typed(unit.Torque{}), "write what was set or read")
	var refused *sheet.Error
	if want := "the reading, not entered: write what was set or read"; !errors.As(err, &refused) || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	typed, err := unit.Parse[unit.Torque]("80 lbf.ft")
	if err != nil || sheet.Typed(typed) != "80 lbf.ft" {
		t.Errorf("%s, %v", sheet.Typed(typed), err)
	}
}

func TestVerdicts(t *testing.T) {
	var s sheet.Sheet
	s.Judge(true, "passes")
	s.Judge(false, "fails")
	s.Conclude("inside with guard band", sheet.Passed, "is inside")
	s.Find("there are two")
	want := []sheet.Verdict{
		{Word: "passed", Standing: sheet.Passed, Sentence: "passes"}, {Word: "failed", Standing: sheet.Failed, Sentence: "fails"},
		{Word: "inside with guard band", Standing: sheet.Passed, Sentence: "is inside"}, {Sentence: "there are two"},
	}
	if !slices.Equal(s.Verdicts, want) {
		t.Errorf("%+v, want %+v", s.Verdicts, want)
	}
}
