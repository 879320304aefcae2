package stat

import (
	"math"

	"fettlebook/journal/words"

	"gonum.org/v1/gonum/mathext"
)

// Side says which ends of an interval carry the doubt.
type Side int

// The sides. A one-sided interval puts all of the doubt on its one end.
const (
	BothSides Side = iota + 1
	UpperSide      // from 0 to the upper end
	LowerSide      // from the lower end to 1
)

// Proportion is the rate of one sample with its interval.
type Proportion struct {
	Basis
	Sample Sample   `json:"sample"`
	Side   Side     `json:"side"`
	Rate   Interval `json:"rate"` // shares between 0 and 1
}

// Wilson returns the score interval without continuity correction. Errors are of type
// *Error.
func Wilson(s Sample, level float64) (Proportion, error) {
	result, err := newProportion(s, level, BothSides)
	if err != nil {
		return Proportion{}, err
	}
	result.Method = "Wilson score interval"
	result.Source = "Wilson 1927; Newcombe, Statist. Med. 17 (1998) 857-872, method 3"
	n, p, z := float64(s.Parts), s.Rate(), twoSided(level)
	middle := p + z*z/(2*n)
	reach := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return result.with((middle-reach)/(1+z*z/n), (middle+reach)/(1+z*z/n)), nil
}

// ClopperPearson returns the exact interval, which holds at least its level whatever the
// rate. Errors are of type *Error.
func ClopperPearson(s Sample, level float64, side Side) (Proportion, error) {
	result, err := newProportion(s, level, side)
	if err != nil {
		return Proportion{}, err
	}
	result.Method = "Clopper-Pearson exact interval"
	result.Source = "Clopper and Pearson, Biometrika 26 (1934) 404-413; NIST/SEMATECH e-Handbook 7.2.4.2"
	alpha := 1 - level
	if side == BothSides {
		alpha /= 2
	}
	low, high := 0.0, 1.0
	if side != UpperSide {
		low = exactLow(s.Defects, s.Parts, alpha)
	}
	if side != LowerSide {
		high = 1 - exactLow(s.good(), s.Parts, alpha)
		if s.Defects == 0 {
			high = -math.Expm1(math.Log(alpha) / float64(s.Parts))
		}
	}
	return result.with(low, high), nil
}

// exactLow returns the rate at which k or more of n would be seen with chance alpha.
func exactLow(k, n int, alpha float64) float64 {
	switch k {
	case 0:
		return 0
	case n:
		return math.Exp(math.Log(alpha) / float64(n))
	}
	return mathext.InvRegIncBeta(float64(k), float64(n-k+1), alpha)
}

// NoneFound returns the upper bound for a defect that was seen on none of the parts. At
// 95 % it is near 3/parts, the rule of three. Errors are of type *Error.
func NoneFound(parts int, level float64) (Proportion, error) {
	result, err := ClopperPearson(Sample{Parts: parts}, level, UpperSide)
	if err != nil {
		return Proportion{}, err
	}
	result.Method = "exact upper bound for none found"
	result.Source = "Clopper and Pearson 1934; rule of three: Hanley and Lippman-Hand, JAMA 249 (1983) 1743-1745"
	return result, nil
}

// Rate is all that is known about the rate of one sample.
type Rate struct {
	Wilson Proportion
	Exact  Proportion // Clopper and Pearson's, both sides
	None   Proportion // the bound for none found; zero where a defect was found
}

// RateOf returns every interval of a sample's rate. Errors are of type *Error.
func RateOf(s Sample, level float64) (r Rate, err error) {
	if r.Wilson, err = Wilson(s, level); err != nil {
		return Rate{}, err
	}
	if r.Exact, err = ClopperPearson(s, level, BothSides); err != nil {
		return Rate{}, err
	}
	if s.Defects == 0 {
		r.None, err = NoneFound(s.Parts, level)
	}
	return r, err
}

func newProportion(s Sample, level float64, side Side) (Proportion, error) {
	if err := s.check(false); err != nil {
		return Proportion{}, err
	}
	if err := checkLevel(level); err != nil {
		return Proportion{}, err
	}
	if side < BothSides || side > LowerSide {
		return Proportion{}, refuse(ErrSide, "side %d", side)
	}
	return Proportion{Sample: s, Side: side, Rate: Interval{Value: s.Rate(), Level: level}}, nil
}

// with sets the ends. Rounding must not push an end past the estimate, nor past what a
// share can be.
func (p Proportion) with(low, high float64) Proportion {
	p.Rate.Low = max(0, min(low, p.Rate.Value))
	p.Rate.High = min(1, max(high, p.Rate.Value))
	if p.Sample.Defects == 0 {
		p.Rate.Low = 0
	}
	if p.Sample.good() == 0 {
		p.Rate.High = 1
	}
	return p
}

// vague is the width from which an interval is said to prove little: common practice, no
// source.
const vague = 0.2

// ruleOfThreeFrom is the number of parts from which 3/n is within a tenth of the exact
// bound (from memory, Hanley and Lippman-Hand 1983).
const ruleOfThreeFrom = 30

// Say returns the result as one sentence.
func (p Proportion) Say() string { return p.Written(words.Writing{}) }

// Written is Say in a way of writing.
func (p Proportion) Written(in words.Writing) string {
	sentence := p.Sample.Written(in)
	switch {
	case p.Side == LowerSide:
		sentence += in.Sprintf(": at least %s with %s", percent(p.Rate.Low), confidence(p.Rate.Level))
	case p.Side == UpperSide || p.Sample.Defects == 0:
		sentence += in.Sprintf(": no more than %s with %s", percent(p.Rate.High), confidence(p.Rate.Level))
	default:
		sentence += in.Sprintf(" (%s): between %s and %s with %s", percent(p.Rate.Value),
			percent(p.Rate.Low), percent(p.Rate.High), confidence(p.Rate.Level))
	}
	if p.Side == UpperSide && p.Sample.Defects == 0 && p.Rate.Level == 0.95 && p.Sample.Parts >= ruleOfThreeFrom {
		sentence += in.Sprintf(" (rule of three: about 3 in %d)", p.Sample.Parts)
	}
	if p.Rate.High-p.Rate.Low >= vague {
		sentence += ", so this proves little"
	}
	return sentence
}
