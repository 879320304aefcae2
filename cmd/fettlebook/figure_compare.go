package main

import (
	"fmt"
	"math"
	"strings"

	"fettlebook/journal/trade/stat"
	"fettlebook/journal/trade/unit"
)

type figureCompare struct {
	Groups  []string `arg:"" optional:"" name:"k of n against k of n" help:"Two groups, such as 2 of 40 with prebake against 9 of 35 without."`
	Strata  []string `name:"stratum" sep:"none" help:"Two groups within one kind of part, such as \"iron: 2 of 40 against 9 of 35\"; can be given again." placeholder:"NAME:GROUPS"`
	Factors []string `name:"factor" sep:"none" help:"One of many causes that were looked at, as two groups or as a p value: \"lot 7: 5 of 20 against 3 of 60\", \"lot 8: p 0.21\"; can be given again." placeholder:"NAME:GROUPS"`
	Tested  int      `help:"How many causes were looked at in all (default: those given)." placeholder:"N"`
	Finds   entered  `default:"5 %" help:"How many of the causes that stand may be chance finds." placeholder:"\"5 %\""`
	Level   entered  `default:"95 %" help:"The confidence of the intervals." placeholder:"\"95 %\""`
	JSON    bool     `name:"json" help:"Print JSON."`
}

type (
	// compareFigure is the JSON of a comparison. What was not asked for is left out.
	compareFigure struct {
		worksheet
		Level  float64        `json:"level"`
		Groups *compareGroups `json:"groups,omitzero"`
		Strata *compareStrata `json:"strata,omitzero"`
		Causes *compareCauses `json:"causes,omitzero"`
	}

	// compareGroups is two groups, the first against the second. Rates and their
	// difference are shares; a ratio or an end of it that is beyond all bounds is left out.
	compareGroups struct {
		FirstRate      float64  `json:"first_rate"`
		SecondRate     float64  `json:"second_rate"`
		Difference     float64  `json:"difference"`
		DifferenceLow  float64  `json:"difference_low"`
		DifferenceHigh float64  `json:"difference_high"`
		Risk           *float64 `json:"risk_ratio,omitzero"`
		RiskLow        float64  `json:"risk_ratio_low"`
		RiskHigh       *float64 `json:"risk_ratio_high,omitzero"`
		Odds           *float64 `json:"odds_ratio,omitzero"`
		OddsLow        float64  `json:"odds_ratio_low"`
		OddsHigh       *float64 `json:"odds_ratio_high,omitzero"`
		Exact          *float64 `json:"exact_odds_ratio,omitzero"` // conditional
		ExactLow       float64  `json:"exact_odds_ratio_low"`
		ExactHigh      *float64 `json:"exact_odds_ratio_high,omitzero"`
		TwoSided       float64  `json:"fisher_p"`         // two-sided
		Less           float64  `json:"fisher_p_less"`    // as few in the first group, or fewer
		Greater        float64  `json:"fisher_p_greater"` // as many, or more
		ChiSquared     float64  `json:"chi_squared"`
		ChiSquaredP    float64  `json:"chi_squared_p"`
	}

	// compareStrata is two groups after sorting by a third thing.
	compareStrata struct {
		Odds        *float64 `json:"odds_ratio,omitzero"` // pooled
		OddsLow     float64  `json:"odds_ratio_low"`
		OddsHigh    *float64 `json:"odds_ratio_high,omitzero"`
		Unsorted    *float64 `json:"unsorted_odds_ratio,omitzero"`
		ChiSquared  float64  `json:"chi_squared"`
		ChiSquaredP float64  `json:"chi_squared_p"`
	}

	// compareCauses is a search over many causes.
	compareCauses struct {
		Tested int            `json:"tested"` // all that were looked at
		Finds  float64        `json:"finds"`  // the share of those that stand that may be chance
		Causes []compareCause `json:"causes"` // by rising p value
	}

	compareCause struct {
		Name      string  `json:"name"`
		P         float64 `json:"p"`
		Threshold float64 `json:"threshold"`
		Adjusted  float64 `json:"adjusted_p"` // counts the search
		Stands    bool    `json:"stands"`
	}
)

// ended returns a figure that has an end, or nothing.
func ended(x float64) *float64 {
	if math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// Run prints the comparison.
func (c *figureCompare) Run(t *terminal) error {
	f, err := c.work()
	return answer(t, c.JSON, f, err)
}

func (c *figureCompare) work() (*compareFigure, error) {
	if len(c.Groups)+len(c.Strata)+len(c.Factors) == 0 {
		return nil, wrongUse("say what to compare: two groups such as 2 of 40 against 9 of 35, or --stratum, or --factor")
	}
	f := &compareFigure{worksheet: worksheet{Figure: "compare"}}
	in := intake{worksheet: &f.worksheet}
	if f.Level = in.level("level", c.Level); in.err != nil {
		return nil, in.err
	}
	f.Limits = []limit{{"confidence", percents(f.Level), "common practice, no source", "--level"}}
	if len(c.Groups) > 0 {
		if err := f.compare(&in, strings.Join(c.Groups, " ")); err != nil {
			return nil, err
		}
	}
	if len(c.Strata) > 0 {
		if err := f.pool(&in, c.Strata); err != nil {
			return nil, err
		}
	}
	if len(c.Factors) > 0 {
		if err := f.search(&in, c); err != nil {
			return nil, err
		}
	}
	return f, nil
}

// span writes a figure and its interval, which may have no upper end.
func span(i stat.Interval, scale float64, unit string) string {
	value, ends := digits(scale*i.Value)+unit, digits(scale*i.Low)+" to "+digits(scale*i.High)
	if math.IsInf(i.High, 1) {
		ends = digits(scale*i.Low) + " or more"
	}
	if math.IsInf(i.Value, 1) {
		value = "beyond measure"
	}
	return value + ", " + ends
}

// compare compares two groups.
func (f *compareFigure) compare(in *intake, text string) error {
	in.typed("groups", text)
	groups, err := pairOf(text)
	if err != nil {
		return err
	}
	r, err := stat.Compare(groups, f.Level)
	if err != nil {
		return err
	}
	f.Groups = &compareGroups{
		FirstRate: groups.First.Rate(), SecondRate: groups.Second.Rate(),
		Difference: r.Difference.Size.Value, DifferenceLow: r.Difference.Size.Low, DifferenceHigh: r.Difference.Size.High,
		Risk: ended(r.RiskRatio.Size.Value), RiskLow: r.RiskRatio.Size.Low, RiskHigh: ended(r.RiskRatio.Size.High),
		Odds: ended(r.OddsRatio.Size.Value), OddsLow: r.OddsRatio.Size.Low, OddsHigh: ended(r.OddsRatio.Size.High),
		Exact: ended(r.Exact.Size.Value), ExactLow: r.Exact.Size.Low, ExactHigh: ended(r.Exact.Size.High),
		TwoSided: r.Fisher.TwoSided, Less: r.Fisher.Less, Greater: r.Fisher.Greater,
		ChiSquared: r.ChiSquared.Statistic, ChiSquaredP: r.ChiSquared.P,
	}
	f.Formula = append(f.Formula, "difference of the rates by "+r.Difference.Method+"; "+r.Difference.Source, r.Fisher.Method+"; "+r.Fisher.Source)
	f.effect("difference", r.Difference, 100, " points")
	f.effect("risk ratio", r.RiskRatio, 1, "")
	f.effect("odds ratio", r.OddsRatio, 1, "")
	f.effect("exact odds ratio", r.Exact, 1, "")
	f.result("exact test", "%s", r.Fisher.Say())
	f.result("at the side", "%s", r.ChiSquared.Say())
	f.Warnings = append(f.Warnings, append(r.Fisher.Guards, r.ChiSquared.Guards...)...)
	f.Verdict = append(f.Verdict, r.Say())
	return nil
}

// effect adds how far two groups lie apart.
func (f *compareFigure) effect(name string, e stat.Effect, scale float64, unit string) {
	f.result(name, "%s (%s)", span(e.Size, scale, unit), e.Method)
	f.Warnings = append(f.Warnings, e.Guards...)
}

// pool compares two groups within strata.
func (f *compareFigure) pool(in *intake, texts []string) error {
	var strata []stat.Stratum
	for _, text := range texts {
		name, groups, err := named(text)
		if err != nil {
			return err
		}
		in.typed(name, groups)
		pair, err := pairOf(groups)
		if err != nil {
			return err
		}
		strata = append(strata, stat.Stratum{Name: name, Pair: pair})
	}
	r, err := stat.MantelHaenszel(strata, f.Level)
	if err != nil {
		return err
	}
	f.Strata = &compareStrata{
		Odds: ended(r.OddsRatio.Value), OddsLow: r.OddsRatio.Low, OddsHigh: ended(r.OddsRatio.High),
		Unsorted: ended(r.Crude), ChiSquared: r.Test.Statistic, ChiSquaredP: r.Test.P,
	}
	f.Formula = append(f.Formula, r.Method+"; "+r.Source)
	f.result("pooled odds ratio", "%s", span(r.OddsRatio, 1, ""))
	f.result("without sorting", "%s", digits(r.Crude))
	f.result("test", "%s", r.Test.Say())
	f.Warnings = append(f.Warnings, r.Guards...)
	f.Verdict = append(f.Verdict, r.Say())
	return nil
}

// search looks which of many causes stands.
func (f *compareFigure) search(in *intake, c *figureCompare) error {
	rate := in.level("chance finds", c.Finds)
	if in.err != nil {
		return in.err
	}
	var causes []stat.Cause
	for _, text := range c.Factors {
		name, what, err := named(text)
		if err != nil {
			return err
		}
		in.typed(name, what)
		p, err := chanceOf(what)
		if err != nil {
			return fmt.Errorf("factor %s: %w", name, err)
		}
		causes = append(causes, stat.Cause{Name: name, P: p})
	}
	tested := c.Tested
	if tested == 0 {
		tested = len(causes)
	}
	r, err := stat.BenjaminiHochberg(causes, tested, rate)
	if err != nil {
		return err
	}
	f.Causes = &compareCauses{Tested: r.Tested, Finds: r.Rate}
	f.Formula = append(f.Formula, r.Method+"; "+r.Source)
	f.table = append(f.table, []string{"cause", "p", "limit", "adjusted", ""})
	for _, found := range r.Findings {
		stands := "may be chance"
		if found.Kept {
			stands = "stands"
		}
		f.Causes.Causes = append(f.Causes.Causes, compareCause{found.Name, found.P, found.Threshold, found.Adjusted, found.Kept})
		f.table = append(f.table, []string{found.Name, digits(found.P), digits(found.Threshold), digits(found.Adjusted), stands})
	}
	f.Limits = append(f.Limits, limit{"chance finds", fmt.Sprintf("at most %s of what stands, of %d looked at", percents(rate), tested), "common practice, no source", "--finds and --tested"})
	f.Warnings = append(f.Warnings, r.Guards...)
	f.Verdict = append(f.Verdict, r.Say())
	return nil
}

// named cuts "iron: 2 of 40 against 9 of 35" after its name.
func named(text string) (name, rest string, err error) {
	name, rest, found := strings.Cut(text, ":")
	name, rest = strings.TrimSpace(name), strings.TrimSpace(rest)
	if !found || name == "" {
		return "", "", fmt.Errorf("%q has no name: write it before a colon, such as iron: 2 of 40 against 9 of 35", text)
	}
	return name, rest, nil
}

func pairOf(text string) (stat.Pair, error) {
	first, second, found := strings.Cut(text, " against ")
	if !found {
		return stat.Pair{}, fmt.Errorf("%q is not two groups: write for example 2 of 40 against 9 of 35", text)
	}
	var p stat.Pair
	var err error
	if p.First, err = sampleOf(first); err != nil {
		return p, err
	}
	p.Second, err = sampleOf(second)
	return p, err
}

// chanceOf returns a factor's p value, as typed or by Fisher's exact test.
func chanceOf(text string) (float64, error) {
	if p, found := strings.CutPrefix(text, "p "); found {
		return unit.Number(p)
	}
	groups, err := pairOf(text)
	if err != nil {
		return 0, err
	}
	r, err := stat.FisherExact(groups)
	return r.TwoSided, err
}
