package film

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

const (
	nominalLeast    = 40.0 // µm; ISO 19840 does not apply below (its published scope)
	nominalShare    = 0.8  // of the nominal, the least single value
	nominalPortion  = 0.2  // of all values, the most that may lie below the nominal
	nominalReadings = 5    // the least number for up to 1 m² (ISO 19840, from memory)

	// NominalMost is how many times the nominal thickness a value may usually reach
	// (ISO 12944-5, from memory).
	NominalMost = 3.0
)

const nominalSource = "80/20 rule of ISO 19840 as quoted by others; the standard itself was not read"

type (
	// Nominal is a nominal dry film thickness. Most is how many times the nominal any
	// value may reach, usually NominalMost; 0 sets no limit.
	Nominal struct {
		Thickness unit.Length
		Most      float64
	}

	// NominalResult is a verdict by the 80/20 rule with all of its figures, in µm.
	NominalResult struct {
		Nominal        Nominal
		Readings       int
		Mean, Min, Max float64
		Least          float64 // the least single value allowed, 80 % of the nominal
		Most           float64 // the greatest single value allowed; 0 for no limit
		Between        int     // values from 80 % up to below the nominal
		Portion        float64 // that number, as a share of all values
		Broken         []string
		Pass           bool
		Source         string
		Warnings       []string
	}
)

// JudgeNominal applies the 80/20 rule of ISO 19840 to all single readings: their mean
// reaches the nominal thickness, none lies below 80 % of it, and at most 20 % of them
// lie between. The base reading is subtracted as in Judge. Errors are of type *Error.
func JudgeNominal(readings []unit.Length, base unit.Length, n Nominal) (NominalResult, error) {
	nominal := n.Thickness.In(unit.Micrometre)
	switch {
	case len(readings) == 0:
		return NominalResult{}, sheet.Refuse("the survey", "no reading", "nothing was measured: take readings over the whole part")
	case !(nominal > 0):
		return NominalResult{}, sheet.Refuse("the nominal thickness", sheet.Typed(n.Thickness), "the rule needs one above zero: take it from the data sheet")
	case sheet.Below(nominal, nominalLeast):
		return NominalResult{}, sheet.Refuse("the nominal thickness", sheet.Typed(n.Thickness), fmt.Sprintf("ISO 19840 does not apply below %.0f µm: judge by spots instead", nominalLeast))
	case n.Most != 0 && !(n.Most > 1):
		return NominalResult{}, sheet.Refuse("the greatest thickness", fmt.Sprintf("%g times the nominal", n.Most), "it must be more than once the nominal; usual is 3 times, and 0 sets no limit")
	}
	film, err := subtract(readings, base, "the survey")
	if err != nil {
		return NominalResult{}, err
	}
	r := NominalResult{
		Nominal: n, Readings: len(film), Source: nominalSource,
		Mean: mean(film), Min: slices.Min(film), Max: slices.Max(film),
		Least: nominalShare * nominal, Most: n.Most * nominal,
	}
	for _, v := range film {
		if sheet.Below(v, nominal) && !sheet.Below(v, r.Least) {
			r.Between++
		}
	}
	r.Portion = float64(r.Between) / float64(len(film))
	r.judge(nominal)
	return r, nil
}

func (r *NominalResult) judge(nominal float64) {
	shown := func(v float64) string { return shown(v, r.Nominal.Thickness) }
	fail := func(format string, args ...any) { r.Broken = append(r.Broken, fmt.Sprintf(format, args...)) }
	if sheet.Below(r.Mean, nominal) {
		fail("the mean, %s, is below the nominal, %s", shown(r.Mean), shown(nominal))
	}
	if sheet.Below(r.Min, r.Least) {
		fail("the lowest value, %s, is below %s, 80 %% of the nominal", shown(r.Min), shown(r.Least))
	}
	if sheet.Above(r.Portion, nominalPortion) {
		fail("%d of %d values, %.0f %%, %s between 80 %% of the nominal and the nominal, and at most 20 %% may", r.Between, r.Readings, 100*r.Portion, words.Choose(r.Between == 1, "lies", "lie"))
	}
	if r.Most > 0 && sheet.Above(r.Max, r.Most) {
		fail("the highest value, %s, is above %s, %g times the nominal", shown(r.Max), shown(r.Most), r.Nominal.Most)
	}
	r.Pass = len(r.Broken) == 0
	if r.Pass && 5*r.Between == r.Readings {
		r.Warnings = append(r.Warnings, "exactly 20 % of the values lie below the nominal: some read the rule as less than 20 %")
	}
	if r.Readings < nominalReadings {
		r.Warnings = append(r.Warnings, fmt.Sprintf("only %s: take at least %d, even on a small part", words.Count(r.Readings, "reading"), nominalReadings))
	}
}

// Say returns the verdict as one sentence, in the unit of the nominal thickness.
func (r NominalResult) Say() string {
	head := fmt.Sprintf("80/20 rule, nominal %s, %s: ", r.Nominal.Thickness, words.Count(r.Readings, "reading"))
	if r.Pass {
		return head + fmt.Sprintf("passes: the mean is %s, the lowest %s, and %.0f %% lie below the nominal",
			shown(r.Mean, r.Nominal.Thickness), shown(r.Min, r.Nominal.Thickness), 100*r.Portion)
	}
	return head + "fails: " + strings.Join(r.Broken, "; ")
}
