package film

import (
	"fmt"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

func micrometres(v float64) string { return unit.Format(v, unit.Micrometre, 1) }

// Sheet returns the verdict with all of its figures.
func (r Result) Sheet() sheet.Sheet {
	low, high := r.Spec.Low.In(unit.Micrometre), r.Spec.High.In(unit.Micrometre)
	s := sheet.Sheet{
		Formula:  []string{"film = reading − base; spot = mean of at least 3 readings; mean = mean of the spots"},
		Warnings: r.Warnings,
	}
	s.Put("low_um", low)
	specified := sheet.AtLeast(low, 1, "µm")
	if !r.Spec.High.IsZero() {
		s.Put("high_um", high)
		specified = sheet.Between(low, high, 1, "µm")
	}
	s.Put("source", r.Spec.Source, "level", int(r.Level), "level_assumed", r.Assumed)
	var spots [][]sheet.Result
	for _, spot := range r.Spots {
		spots = append(spots, spot.results())
	}
	s.Put("spots", spots, "readings", r.Readings)
	s.Tell("mean_um", "mean of all spots", r.Area, "%s, readings %.1f to %.1f", micrometres(r.Area), r.Min, r.Max)
	s.Put("min_um", r.Min, "max_um", r.Max)
	var broken []string
	for _, v := range r.Broken {
		broken = append(broken, r.Describe(v))
	}
	s.Put("broken", broken, "pass", r.Pass && !r.Few())

	switch r.Spec.Source {
	case "":
		s.Limit("specified", specified.As(r.asked()), "no source was named", "")
	case sheet.ShopDefault:
		s.Limit("specified", specified.As(r.asked()), sheet.ShopDefault, "low and high")
	default:
		s.Limit("specified", specified.As(r.asked()), r.Spec.Source, "")
	}
	source := fmt.Sprintf("level %d; %s", r.Level, r.Source)
	reading, spot, area := r.Level.bands()
	for i, b := range []band{reading, spot, area} {
		name := [...]string{"each reading", "each spot", "mean of all spots"}[i]
		switch {
		case b.most > 0 && high > 0:
			s.Limit(name, sheet.Between(b.least*low, b.most*high, 1, "µm"), source, "level")
		case b.least > 0:
			s.Limit(name, sheet.AtLeast(b.least*low, 1, "µm"), source, "level")
		}
	}
	if r.Pass && r.Few() {
		s.Conclude(string(sheet.NotProven), sheet.NotProven, r.Say())
		return s
	}
	s.Judge(r.Pass, r.Say())
	return s
}

func (m SpotMean) results() []sheet.Result {
	var s sheet.Sheet
	s.Put("place", m.Place, "readings_um", m.Readings)
	s.Tell("mean_um", "spot "+m.Place, m.Mean, "mean %s, %.1f to %.1f", micrometres(m.Mean), m.Min, m.Max)
	s.Put("min_um", m.Min, "max_um", m.Max)
	return s.Results
}

// Sheet returns the verdict with all of its figures.
func (r NominalResult) Sheet() sheet.Sheet {
	nominal := r.Nominal.Thickness
	s := sheet.Sheet{
		Formula:  []string{"80/20: the mean reaches the nominal, no reading lies below 80 % of it, and at most 20 % of them lie between"},
		Warnings: r.Warnings,
	}
	s.Put("nominal_um", nominal.In(unit.Micrometre), "least_um", r.Least)
	s.PutKnown("most_um", r.Most)
	s.Put("readings", r.Readings)
	s.Tell("mean_um", "mean of all readings", r.Mean, "%s, %.1f to %.1f", micrometres(r.Mean), r.Min, r.Max)
	s.Put("min_um", r.Min, "max_um", r.Max)
	s.Tell("between", "below the nominal", r.Between, "%d of %d, %s", r.Between, r.Readings, sheet.Percent(r.Portion))
	s.Put("between_share", r.Portion, "broken", r.Broken, "pass", r.Pass)

	s.Limit("mean of all readings", sheet.AtLeast(nominal.In(unit.Micrometre), 1, "µm").As("at least "+nominal.String()), r.Source, "nominal")
	s.Limit("each reading", sheet.AtLeast(r.Least, 1, "µm"), "80 % of the nominal; "+r.Source, "")
	s.Limit("readings below the nominal", sheet.AtMost(100*nominalPortion, 0, "%"), r.Source, "")
	if r.Most > 0 {
		s.Limit("each reading", sheet.AtMost(r.Most, 1, "µm"), "ISO 12944-5", "most")
	}
	s.Judge(r.Pass, r.Say())
	return s
}
