package stat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Trial is a comparison that is still to be made.
type Trial struct {
	Basis
	From      float64 `json:"from"`  // rate of the one group
	To        float64 `json:"to"`    // rate of the other
	Alpha     float64 `json:"alpha"` // chance of seeing a difference that is not there, two-sided
	Power     float64 `json:"power"` // chance of seeing the difference that is there
	PartsEach int     `json:"parts_each"`
}

// SampleSize returns how many parts each of two groups needs to tell the two rates apart,
// without continuity correction. Errors are of type *Error.
func SampleSize(from, to, alpha, power float64) (Trial, error) {
	for _, given := range []struct {
		name  string
		value float64
	}{{"rate", from}, {"rate", to}, {"alpha", alpha}, {"power", power}} {
		if err := checkChance(given.name, given.value); err != nil {
			return Trial{}, err
		}
	}
	if from == to {
		return Trial{}, refuse(ErrSame, "%s and %s", percent(from), percent(to))
	}
	middle := (from + to) / 2
	root := -distuv.UnitNormal.Quantile(alpha/2)*math.Sqrt(2*middle*(1-middle)) +
		distuv.UnitNormal.Quantile(power)*math.Sqrt(from*(1-from)+to*(1-to))
	// With little power and a wide alpha the root falls to 0 and below: one part will do.
	parts := max(1, math.Ceil(math.Pow(max(root, 0)/(to-from), 2)))
	if parts > MaxCount {
		return Trial{}, refuse(ErrTooLarge, "parts needed in each group, about %s", figure(parts))
	}
	return Trial{
		Basis: Basis{
			Method: "sample size for two proportions without continuity correction",
			Source: "Fleiss, Statistical Methods for Rates and Proportions, chapter 3",
		},
		From: from, To: to, Alpha: alpha, Power: power, PartsEach: int(parts),
	}, nil
}

// Say returns the result as one sentence.
func (t Trial) Say() string {
	return fmt.Sprintf("to see a change from %s to %s: %d parts in each group; fewer will miss it more often than %s of the time",
		percent(t.From), percent(t.To), t.PartsEach, percent(1-t.Power))
}
