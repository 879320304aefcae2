// Package stat says what a small shop can know about recurring defects: how large a rate
// may really be, whether two groups differ, and whether the last weeks are worse than the
// weeks before.
//
// It promises that every result carries its figures, the name of its method, where the
// formula is published, and every guard that made it leave the usual way. The Say method
// of a result is one sentence that needs no dictionary. What cannot be answered is refused
// with an *Error that names the figure and the rule; nothing is guessed. Counts up to
// MaxCount are computed without overflow and without loss of the small tails.
//
//	none, err := stat.NoneFound(10, 0.95)
//	none.Say() // 0 of 10: no more than 26 % with 95 % confidence, so this proves little
//
// One sample: [Wilson], [ClopperPearson], [NoneFound]. Two groups:
// [Compare] and its parts [Difference], [RiskRatio], [OddsRatio], [ConditionalOddsRatio],
// [FisherExact], [ChiSquared]. Two groups sorted by a third thing: [MantelHaenszel]. A
// search over many causes: [BenjaminiHochberg], [ExactStrata]. Two readings on the same parts:
// [MeanDifference]. Before the trial: [SampleSize]. Over time:
// [ChooseChart], [PChart], [UChart], [CChart], [GChart], [TChart], [IndividualsChart],
// [CUSUM]. How long parts stay good: [KaplanMeier].
package stat

import (
	"encoding/json"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Basis says how a figure came about.
type Basis struct {
	Method string   `json:"method"`           // such as "Wilson score interval"
	Source string   `json:"source"`           // paper or handbook with the formula
	Guards []string `json:"guards,omitempty"` // one sentence for each departure from the usual way
}

func (b *Basis) guard(sentence string) { b.Guards = append(b.Guards, sentence) }

// Interval is a figure with the range that the counts leave open around it. A ratio may
// have no upper end; then High, and at times Value, is +Inf, and JSON shows null.
type Interval struct {
	Value float64 // the estimate
	Low   float64
	High  float64
	Level float64 // confidence, 0.95 for 95 %
}

// Contains reports whether x lies in the interval, its ends included.
func (i Interval) Contains(x float64) bool { return i.Low <= x && x <= i.High }

// MarshalJSON writes an infinite end as null.
func (i Interval) MarshalJSON() ([]byte, error) {
	finite := func(x float64) *float64 {
		if math.IsInf(x, 0) {
			return nil
		}
		return &x
	}
	return json.Marshal(struct {
		Value *float64 `json:"value"`
		Low   *float64 `json:"low"`
		High  *float64 `json:"high"`
		Level float64  `json:"level"`
	}{finite(i.Value), finite(i.Low), finite(i.High), i.Level})
}

// twoSided returns the number of standard errors on each side at that confidence level.
// It starts from the small tail, which still has all its digits when the level is near 1.
func twoSided(level float64) float64 {
	return -distuv.UnitNormal.Quantile((1 - level) / 2)
}

// threeSigma is the chance beyond one three-sigma limit of a normal distribution, 0.00135.
// Probability limits put the same chance outside each limit.
const threeSigma = 0.0013498980316300933 // erfc(3/√2)/2

// bisect returns where the rising function crosses zero between low and high.
func bisect(rising func(float64) float64, low, high float64) float64 {
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if rising(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}
