package stat

import (
	"fmt"
	"math"

	"fettlebook/journal/words"
)

// Stratum is the two groups within one kind of part, such as the iron calipers only.
type Stratum struct {
	Name string `json:"name"`
	Pair Pair   `json:"pair"`
}

// Pooled is the odds ratio of two groups after sorting by a third thing, so that a group
// is not blamed for getting the harder parts.
type Pooled struct {
	Basis
	Strata        []Stratum `json:"strata"`
	OddsRatio     Interval  `json:"odds_ratio"`     // pooled over the strata
	Crude         Interval  `json:"crude"`          // odds ratio without sorting; half a part added to each cell where one is empty
	StandardError float64   `json:"standard_error"` // of the logarithm; 0 where there is none
	Test          ChiSquare `json:"test"`
	// Alone holds the odds ratio of each stratum that tells something, and Agreement the
	// test whether they may be one; it is nil where nothing can be tested.
	Alone     []Alone    `json:"alone"`
	Agreement *Agreement `json:"agreement,omitempty"`
}

// Alone is the odds ratio of one stratum by itself.
type Alone struct {
	Name      string   `json:"name"`
	OddsRatio Interval `json:"odds_ratio"`
}

// MantelHaenszel pools the odds ratios of the strata, with the interval of Robins, Breslow
// and Greenland, tests with continuity correction whether it is 1, and whether the strata
// agree on it. A stratum with an empty row or column tells nothing and is left out, with a
// guard that names it. Errors are of type *Error.
func MantelHaenszel(strata []Stratum, level float64) (Pooled, error) {
	if err := checkLevel(level); err != nil {
		return Pooled{}, err
	}
	pooled := Pooled{Strata: strata, OddsRatio: Interval{High: math.Inf(1), Level: level}}
	pooled.Method = "Mantel-Haenszel pooled odds ratio with Robins-Breslow-Greenland interval"
	pooled.Source = "Mantel and Haenszel, J. Natl. Cancer Inst. 22 (1959) 719-748; Robins, Breslow and Greenland, Biometrics 42 (1986) 311-323"

	var sums mantelHaenszel
	var all Pair
	var telling []Pair
	for _, stratum := range strata {
		p := stratum.Pair
		for _, group := range []Sample{p.First, p.Second} {
			if err := group.check(true); err != nil {
				return Pooled{}, fmt.Errorf("stratum %q: %w", stratum.Name, err)
			}
		}
		all = all.plus(p)
		if p.First.Parts == 0 || p.Second.Parts == 0 || !p.hasContrast() {
			pooled.guard(fmt.Sprintf("%q was left out: it has no part of one group, or only parts with or only parts without the defect", stratum.Name))
			continue
		}
		sums.add(p)
		telling = append(telling, p)
		alone, err := OddsRatio(p, level)
		if err != nil {
			return Pooled{}, fmt.Errorf("stratum %q: %w", stratum.Name, err)
		}
		pooled.Alone = append(pooled.Alone, Alone{stratum.Name, alone.Size})
	}
	if sums.variance == 0 {
		return Pooled{}, refuse(ErrBothRequired, "%s", words.Either(len(strata), "stratum", "strata"))
	}
	for _, group := range []Sample{all.First, all.Second} {
		if err := group.check(false); err != nil {
			return Pooled{}, fmt.Errorf("all strata together: %w", err)
		}
	}

	crude, err := OddsRatio(all, level)
	if err != nil {
		return Pooled{}, fmt.Errorf("all strata together: %w", err)
	}
	pooled.Crude = crude.Size
	pooled.Test = sums.test()
	pooled.OddsRatio.Value = sums.r / sums.s
	if pooled.Agreement = agreement(telling, pooled.OddsRatio.Value); pooled.Agreement != nil {
		pooled.Guards = append(pooled.Guards, pooled.Agreement.Guards...)
	}
	if sums.r == 0 || sums.s == 0 {
		pooled.guard("in every stratum the same cell is empty: the pooled odds ratio has no interval")
		return pooled, nil
	}
	pooled.StandardError = math.Sqrt(sums.pr/(2*sums.r*sums.r) + sums.psqr/(2*sums.r*sums.s) + sums.qs/(2*sums.s*sums.s))
	reach := math.Exp(twoSided(level) * pooled.StandardError)
	pooled.OddsRatio.Low, pooled.OddsRatio.High = pooled.OddsRatio.Value/reach, pooled.OddsRatio.Value*reach
	return pooled, nil
}

func (p Pair) plus(q Pair) Pair {
	p.First.Defects += q.First.Defects
	p.First.Parts += q.First.Parts
	p.Second.Defects += q.Second.Defects
	p.Second.Parts += q.Second.Parts
	return p
}

// mantelHaenszel holds the sums over the strata in the letters of Robins, Breslow and
// Greenland: R = ad/n, S = bc/n, P = (a+d)/n, Q = (b+c)/n.
type mantelHaenszel struct {
	r, s, pr, psqr, qs float64
	excess             float64 // defects in the first group above the expected number
	variance           float64 // of that excess
}

func (m *mantelHaenszel) add(t Pair) {
	a, b, c, d := t.counts()
	n := a + b + c + d
	r, s, p, q := a*d/n, b*c/n, (a+d)/n, (b+c)/n
	m.r += r
	m.s += s
	m.pr += p * r
	m.psqr += p*s + q*r
	m.qs += q * s
	m.excess += a - (a+b)*(a+c)/n
	m.variance += (a + b) / n * (c + d) / n * (a + c) * (b + d) / (n - 1)
}

func (m *mantelHaenszel) test() ChiSquare {
	x := ChiSquare{Basis: Basis{
		Method: "Mantel-Haenszel chi-squared with continuity correction",
		Source: "Mantel and Haenszel, J. Natl. Cancer Inst. 22 (1959) 719-748",
	}}
	distance := math.Abs(m.excess)
	if distance >= 0.5 {
		distance -= 0.5
	} else {
		x.guard("the excess is below half a part, so the continuity correction was left out")
	}
	x.Statistic = distance * distance / m.variance
	x.P = survival(x.Statistic)
	return x
}

// moved is the relative change of an odds ratio from which sorting is said to matter,
// a shop default.
const moved = 0.10

// Disagree reports whether the strata differ by more than would often arise by chance, so
// that no single figure stands for all of them.
func (p Pooled) Disagree() bool {
	return p.Agreement != nil && p.Agreement.P < 1-p.OddsRatio.Level
}

// Say returns the result as one sentence.
func (p Pooled) Say() string { return p.Written(words.Writing{}) }

// Written is Say in a way of writing; the names of the strata stay as they are.
func (p Pooled) Written(in words.Writing) string {
	strata := in.Either(len(p.Strata), "stratum", "strata")
	pooled := in.Sprintf("%s, %s with %s, %s", figure(p.OddsRatio.Value), between(p.OddsRatio), confidence(p.OddsRatio.Level), chance(p.Test.P))
	if p.Disagree() {
		return in.Sprintf("the strata disagree (%s): judge each separately; the odds ratios are %s; pooled over %s it is %s, which hides that%s",
			chance(p.Agreement.P), words.And(p.each(in)...), strata, pooled, p.unsorted(in, ""))
	}
	sentence := in.Sprintf("sorted into %s the odds ratio is %s%s", strata, pooled, p.unsorted(in, ": go by the sorted figure"))
	if p.Test.P >= 1-p.OddsRatio.Level && p.StandardError > 0 {
		sentence += "; " + p.power(in)
	}
	return sentence
}

// each writes the odds ratios of the strata.
func (p Pooled) each(in words.Writing) []string {
	all := make([]string, len(p.Alone))
	for i, one := range p.Alone {
		all[i] = in.Sprintf("%s %s (%s)", one.Name, figure(one.OddsRatio.Value), between(one.OddsRatio))
	}
	return all
}

// unsorted is the clause on the figure without sorting, where sorting moves it. It is
// called misleading, with the advice, only where the two intervals have nothing in common.
func (p Pooled) unsorted(in words.Writing, advice string) string {
	if change := p.OddsRatio.Value/p.Crude.Value - 1; math.Abs(change) < moved {
		return ""
	}
	clause := in.Sprintf("; without sorting it is %v", figure(p.Crude.Value))
	if p.OddsRatio.Low > p.Crude.High || p.OddsRatio.High < p.Crude.Low {
		clause += in.Sprintf(" (%v), which is misleading%s", between(p.Crude), advice)
	}
	return clause
}

// power says how large an odds ratio would have to be to show in as many parts.
func (p Pooled) power(in words.Writing) string {
	least := math.Exp((twoSided(p.OddsRatio.Level) + usualPower()) * p.StandardError)
	return in.Sprintf("with these parts only an odds ratio of about %s or more, or %s or less, would show (%s)", figure(least), figure(1/least), usually)
}
