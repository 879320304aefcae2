package stat

import (
	"fmt"
	"math"
	"sort"

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

// SampleSizeBeside returns how many parts a group of the rate to needs to be told by
// Fisher's exact test from another group that is there already, whose rate is taken as
// from. A large other group spares parts; beside one that is too small for any number both
// groups need as many. Errors are of type *Error.
func SampleSizeBeside(other Sample, from, to, alpha, power float64) (Trial, error) {
	t, err := SampleSize(from, to, alpha, power)
	if err != nil {
		return Trial{}, err
	}
	n := 1 + sort.Search(other.Parts, func(i int) bool { return shows(i+1, to, other, from, alpha) >= power })
	if n <= other.Parts {
		t.Method, t.Source, t.PartsEach = "power of Fisher’s exact test beside a group as it is", "added up over the counts of the other group", n
	}
	return t, nil
}

// manyExpected is from how many parts of the rarer sort on, in either group, the normal
// approximation with continuity correction does: common practice.
const manyExpected = 10

// shows is the chance that a group of n parts at a rate is told from another one.
func shows(n int, to float64, other Sample, from, alpha float64) float64 {
	if to < from { // count the good parts instead
		to, from, other.Defects = 1-to, 1-from, other.good()
	}
	n1, n2 := float64(n), float64(other.Parts)
	if min(n1*min(to, 1-to), float64(other.Defects), float64(other.good())) >= manyExpected {
		middle := (n1*to + n2*from) / (n1 + n2)
		far := -distuv.UnitNormal.Quantile(alpha/2) * math.Sqrt(middle*(1-middle)*(1/n1+1/n2))
		return distuv.UnitNormal.CDF((to - from - (1/n1+1/n2)/2 - far) / math.Sqrt(to*(1-to)/n1+from*(1-from)/n2))
	}
	least := sort.Search(n+1, func(k int) bool {
		return float64(k)*n2 > float64(other.Defects)*n1 && ExactStrata(Pair{Sample{Defects: k, Parts: n}, other}).P <= alpha
	})
	return distuv.Binomial{N: n1, P: to}.Survival(float64(least - 1))
}

// Say returns the result as one sentence.
func (t Trial) Say() string {
	return fmt.Sprintf("to see a change from %s to %s: %d parts in each group; fewer will miss it more often than %s of the time",
		percent(t.From), percent(t.To), t.PartsEach, percent(1-t.Power))
}
