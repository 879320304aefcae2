package stat

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/sheet"
)

// Sheet returns the rate with its intervals.
func (r Rate) Sheet() sheet.Sheet {
	sample, level := r.Wilson.Sample, r.Wilson.Rate.Level
	s := sheet.Sheet{Formula: []string{
		"(p + z²/2n ± z·√(p(1 − p)/n + z²/4n²))/(1 + z²/n), p = k/n; " + r.Wilson.Source,
		"exact: the rates at which k or more, and k or fewer, have half of what the level leaves; " + r.Exact.Source,
	}}
	s.Put("defects", sample.Defects, "parts", sample.Parts)
	s.Tell("rate", "rate", sample.Rate(), "%s", sheet.Percent(sample.Rate()))
	s.Put("level", level)
	r.Wilson.put(&s, "wilson_low", "wilson_high")
	r.Exact.put(&s, "exact_low", "exact_high")
	s.Limit("confidence", sheet.AtLeast(100*level, 0, "%").As(sheet.Percent(level)), sheet.ShopDefault, "level")
	if sample.Defects > 0 {
		s.Find(r.Wilson.Say())
		return s
	}
	s.Formula = append(s.Formula, "none found: at most 1 − (1 − level)^(1/n), near 3/n at 95 %; "+r.None.Source)
	r.None.put(&s, "", "none_found_high")
	s.Find(r.None.Say())
	return s
}

func (p Proportion) put(s *sheet.Sheet, low, high string) {
	s.Tell(low, p.Method, p.Rate.Low, "%s to %s", sheet.Percent(p.Rate.Low), sheet.Percent(p.Rate.High))
	s.Put(high, p.Rate.High)
	s.Warn(p.Guards...)
}

// Sheet returns all that is known about the two groups. A ratio, or an end of it, that is
// beyond all bounds is left out for programs.
func (c Comparison) Sheet() sheet.Sheet {
	first, second := c.Fisher.Pair.First, c.Fisher.Pair.Second
	s := sheet.Sheet{Formula: []string{
		"difference of the rates by " + c.Difference.Method + "; " + c.Difference.Source,
		c.Fisher.Method + "; " + c.Fisher.Source,
	}}
	s.Put("first_rate", first.Rate(), "second_rate", second.Rate())
	put := func(name, label string, e Effect, scale float64, unit string) {
		e.Size.put(&s, name, label, span(e.Size, scale, unit)+" ("+e.Method+")")
		s.Warn(e.Guards...)
	}
	put("difference", "difference", c.Difference, 100, " percentage points")
	contrast := c.Fisher.Pair.hasContrast()
	if contrast {
		put("risk_ratio", "risk ratio", c.RiskRatio, 1, "")
		put("odds_ratio", "odds ratio", c.OddsRatio, 1, "")
		put("exact_odds_ratio", "exact odds ratio", c.Exact, 1, "")
	} else {
		s.Warn("no part or every part has the defect, so there is no ratio of the two groups, only a difference")
	}
	s.Tell("fisher_p", "exact test", c.Fisher.TwoSided, "%s", c.Fisher.Say())
	s.Put("fisher_p_less", c.Fisher.Less, "fisher_p_greater", c.Fisher.Greater)
	s.Warn(c.Fisher.Guards...)
	if contrast {
		s.Tell("chi_squared", "at the side", c.ChiSquared.Statistic, "%s", c.ChiSquared.Say())
		s.Put("chi_squared_p", c.ChiSquared.P)
		s.Warn(c.ChiSquared.Guards...)
	}
	if d := c.Detectable; !c.Differ() {
		s.Formula = append(s.Formula, d.Method+"; "+d.Source)
		s.Limit("power", sheet.AtLeast(100*d.Power, 0, "%").As(sheet.Percent(d.Power)), sheet.ShopDefault, "")
		if d.Possible() {
			s.Put("detectable_first_rate", d.To, "detectable_difference", d.To-d.From)
		}
	}
	s.Find(c.Say())
	return s
}

// Sheet returns the odds ratio after sorting, and how it looked before.
func (p Pooled) Sheet() sheet.Sheet {
	s := sheet.Sheet{Formula: []string{p.Method + "; " + p.Source}, Warnings: p.Guards}
	p.OddsRatio.put(&s, "odds_ratio", "pooled odds ratio", span(p.OddsRatio, 1, ""))
	p.Crude.put(&s, "unsorted_odds_ratio", "without sorting", span(p.Crude, 1, ""))
	s.Tell("chi_squared", "test", p.Test.Statistic, "%s", p.Test.Say())
	s.Put("chi_squared_p", p.Test.P)
	var strata [][]sheet.Result
	for _, one := range p.Alone {
		var stratum sheet.Sheet
		stratum.Put("name", one.Name)
		one.OddsRatio.put(&stratum, "odds_ratio", one.Name, span(one.OddsRatio, 1, ""))
		strata = append(strata, stratum.Results)
	}
	s.Put("strata", strata)
	if a := p.Agreement; a != nil {
		s.Formula = append(s.Formula, a.Method+"; "+a.Source)
		s.Tell("agreement_chi_squared", "agreement", a.Statistic, "%s", a.Say())
		s.Put("agreement_freedom", a.Freedom, "agreement_p", a.P, "disagree", p.Disagree())
	}
	s.Find(p.Say())
	return s
}

// Sheet returns what the search found, with a row for each cause.
func (s Search) Sheet() sheet.Sheet {
	out := sheet.Sheet{
		Formula:  []string{s.Method + "; " + s.Source},
		Warnings: s.Guards,
		Table:    [][]string{{"cause", "p", "limit", "adjusted", ""}},
	}
	var causes [][]sheet.Result
	for _, f := range s.Findings {
		var one sheet.Sheet
		one.Put("name", f.Name, "p", f.P, "threshold", f.Threshold, "adjusted_p", f.Adjusted, "stands", f.Kept)
		causes = append(causes, one.Results)
		stands := "may be chance"
		if f.Kept {
			stands = "stands"
		}
		out.Table = append(out.Table, []string{f.Name, sheet.Significant(f.P), sheet.Significant(f.Threshold), sheet.Significant(f.Adjusted), stands})
	}
	out.Put("tested", s.Tested, "finds", s.Rate, "causes", causes)
	out.Limit("chance finds", sheet.AtMost(100*s.Rate, 0, "%").As(fmt.Sprintf("on average at most %s of what stands out, of %d looked at", sheet.Percent(s.Rate), s.Tested)),
		sheet.ShopDefault, "finds and tested")
	out.Find(s.Say())
	return out
}

// put adds an interval. An end that is beyond all bounds has no number.
func (i Interval) put(s *sheet.Sheet, name, label, words string) {
	named := func(name string, x float64) string {
		if math.IsInf(x, 0) {
			return ""
		}
		return name
	}
	s.Tell(named(name, i.Value), label, i.Value, "%s", words)
	s.Put(named(name+"_low", i.Low), i.Low, named(name+"_high", i.High), i.High)
}

// span writes a figure and its interval, which may have no upper end.
func span(i Interval, scale float64, unit string) string {
	value, ends := sheet.Significant(scale*i.Value)+unit, sheet.Significant(scale*i.Low)+" to "+sheet.Significant(scale*i.High)
	if math.IsInf(i.High, 1) {
		ends = sheet.Significant(scale*i.Low) + " or more"
	}
	if math.IsInf(i.Value, 1) {
		value = "infinite"
	}
	return value + ", " + ends
}
