package stat

import (
	"fmt"
	"math"
)

// Measure names what an Effect measures, the first group against the second.
type Measure string

// The measures.
const (
	RateDifference Measure = "difference" // of the shares, first minus second
	RateRatio      Measure = "risk ratio" // first share over second share
	Odds           Measure = "odds ratio" // odds of the defect, first over second
)

// Effect is how far two groups lie apart, with its interval.
type Effect struct {
	Basis
	Measure Measure  `json:"measure"`
	Pair    Pair     `json:"pair"`
	Size    Interval `json:"size"`
	// StandardError is that of the ratio's natural logarithm; 0 where the method has none.
	StandardError float64 `json:"standard_error,omitempty"`
}

// Difference returns the difference of the two rates, first minus second, with an interval
// from the two Wilson intervals. Errors are of type *Error.
func Difference(p Pair, level float64) (Effect, error) {
	if err := p.checkCounts(); err != nil {
		return Effect{}, err
	}
	first, err := Wilson(p.First, level)
	if err != nil {
		return Effect{}, err
	}
	second, err := Wilson(p.Second, level)
	if err != nil {
		return Effect{}, err
	}
	one, two := first.Rate, second.Rate
	d := one.Value - two.Value
	return Effect{
		Basis: Basis{
			Method: "Newcombe’s hybrid score interval for a difference",
			Source: "Newcombe, Statist. Med. 17 (1998) 873-890, method 10",
		},
		Measure: RateDifference,
		Pair:    p,
		Size: Interval{
			Value: d,
			Low:   d - math.Hypot(one.Value-one.Low, two.High-two.Value),
			High:  d + math.Hypot(one.High-one.Value, two.Value-two.Low),
			Level: level,
		},
	}, nil
}

// RiskRatio returns the first rate over the second, with the log-normal interval. Errors
// are of type *Error.
func RiskRatio(p Pair, level float64) (Effect, error) {
	a, b, c, d := p.cells()
	return logNormal(Effect{
		Basis: Basis{
			Method: "risk ratio with log-normal interval",
			Source: "Katz et al., Biometrics 34 (1978) 469-474; Agresti, Categorical Data Analysis, section 3.1",
		},
		Measure:       RateRatio,
		Pair:          p,
		Size:          Interval{Value: (a / (a + b)) / (c / (c + d)), Level: level},
		StandardError: math.Sqrt(1/a - 1/(a+b) + 1/c - 1/(c+d)),
	})
}

// OddsRatio returns the sample odds ratio of the first group against the second, with the
// log-normal interval. Errors are of type *Error.
func OddsRatio(p Pair, level float64) (Effect, error) {
	a, b, c, d := p.cells()
	return logNormal(Effect{
		Basis: Basis{
			Method: "sample odds ratio with log-normal interval",
			Source: "Woolf, Ann. Hum. Genet. 19 (1955) 251-253; Agresti, Categorical Data Analysis, section 3.1",
		},
		Measure:       Odds,
		Pair:          p,
		Size:          Interval{Value: (a / b) / (c / d), Level: level},
		StandardError: math.Sqrt(1/a + 1/b + 1/c + 1/d),
	})
}

// logNormal adds the interval to a ratio, or refuses a table that has none.
func logNormal(e Effect) (Effect, error) {
	if err := e.Pair.check(); err != nil {
		return Effect{}, err
	}
	if err := checkLevel(e.Size.Level); err != nil {
		return Effect{}, err
	}
	reach := math.Exp(twoSided(e.Size.Level) * e.StandardError)
	e.Size.Low, e.Size.High = e.Size.Value/reach, e.Size.Value*reach
	if e.Pair.hasZeroCell() {
		e.guard("a cell of the table is empty, so half a part was added to each cell (Haldane-Anscombe)")
	}
	return e, nil
}

// Say returns the effect as one sentence.
func (e Effect) Say() string {
	switch e.Measure {
	case RateDifference:
		return fmt.Sprintf("%v: %s, between %s and %s percentage points with %s", e.Pair, apart(e.Size.Value),
			signed(e.Size.Low), signed(e.Size.High), confidence(e.Size.Level))
	case RateRatio:
		return fmt.Sprintf("%v: the rate is %s that of the second group, %s with %s", e.Pair,
			times(e.Size.Value), between(e.Size), confidence(e.Size.Level))
	default:
		return fmt.Sprintf("%v: the odds of the defect are %s those of the second group, %s with %s", e.Pair,
			times(e.Size.Value), between(e.Size), confidence(e.Size.Level))
	}
}

// apart words a difference of shares, in percentage points.
func apart(d float64) string {
	switch {
	case d > 0:
		return string(percentagePoints(d)) + " more in the first group"
	case d < 0:
		return string(percentagePoints(-d)) + " fewer in the first group"
	default:
		return "no difference seen"
	}
}

func signed(d float64) string {
	if d > 0 {
		return "+" + string(points(d))
	}
	return string(points(d))
}

// Comparison is all that is known about two groups. The interval comes before the p value:
// it says how much it may matter, not only whether. Where no part or every part of both
// groups has the defect there is no ratio and no chi-squared: these are zero.
type Comparison struct {
	Difference Effect     `json:"difference"`
	RiskRatio  Effect     `json:"risk_ratio"`
	OddsRatio  Effect     `json:"odds_ratio"`
	Exact      Effect     `json:"exact"` // conditional odds ratio with exact interval
	Fisher     Fisher     `json:"fisher"`
	ChiSquared ChiSquare  `json:"chi_squared"` // at the side only
	Detectable Detectable `json:"detectable"`  // what would have shown
}

// Compare returns every figure about the two groups. Errors are of type *Error.
func Compare(p Pair, level float64) (Comparison, error) {
	var c Comparison
	var err error
	if c.Difference, err = Difference(p, level); err != nil {
		return Comparison{}, err
	}
	if c.Fisher, err = FisherExact(p); err != nil {
		return Comparison{}, err
	}
	if c.Detectable, err = Detect(p, level); err != nil {
		return Comparison{}, err
	}
	if !p.hasContrast() {
		return c, nil
	}
	if c.RiskRatio, err = RiskRatio(p, level); err != nil {
		return Comparison{}, err
	}
	if c.OddsRatio, err = OddsRatio(p, level); err != nil {
		return Comparison{}, err
	}
	if c.Exact, err = ConditionalOddsRatio(p, level); err != nil {
		return Comparison{}, err
	}
	c.ChiSquared, err = ChiSquared(p)
	return c, err
}

// Differ reports whether the groups differ by more than would often arise by chance: by
// their interval and by the exact test.
func (c Comparison) Differ() bool {
	return !c.Difference.Size.Contains(0) && c.Fisher.TwoSided < 1-c.Difference.Size.Level
}

// Say returns the interval of the difference, then what that amounts to with the p value,
// and where nothing was found what would have been.
func (c Comparison) Say() string {
	if c.Differ() {
		return fmt.Sprintf("%s; a difference this large would seldom arise by chance (%s)", c.Difference.Say(), chance(c.Fisher.TwoSided))
	}
	return fmt.Sprintf("%s; %s: this does not show that they differ, nor that they are alike; %s",
		c.Difference.Say(), chance(c.Fisher.TwoSided), c.Detectable.Say())
}
