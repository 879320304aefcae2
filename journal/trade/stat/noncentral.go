package stat

import (
	"fmt"
	"math"
	"sort"
)

// conditional is the distribution of the first group's defects when all margins of the
// table stay as they are and the odds ratio is psi: Fisher's noncentral hypergeometric.
// Weights are relative to the likeliest table, and grow outwards from it by exact ratios,
// so that no factorial of a large number is ever taken.
type conditional struct {
	first   int       // defects that belong to weights[0]
	weights []float64 // those too small to matter are left away at both ends
	total   float64
}

// negligible cuts the weights for finding an odds ratio: what is left away is below the
// rounding of the total. A test on a far tail cuts at 0 instead, where the weights end.
const negligible = 1e-25

// newConditional returns the distribution at the odds ratio exp(logPsi), without the
// weights at or below cut.
func newConditional(p Pair, logPsi, cut float64) conditional {
	defects, n1, n2 := p.defects(), p.First.Parts, p.Second.Parts
	low, high := max(0, defects-n2), min(defects, n1)
	psi := math.Exp(logPsi)
	// step is the weight of x+1 over that of x; it falls as x grows.
	step := func(x int) float64 {
		return float64(n1-x) * float64(defects-x) / (float64(x+1) * float64(n2-defects+x+1)) * psi
	}
	mode := low + sort.Search(high-low, func(i int) bool { return step(low+i) < 1 })

	var below []float64
	for x, w := mode, 1.0; x > low; x-- {
		if w /= step(x - 1); w <= cut {
			break
		}
		below = append(below, w)
	}
	c := conditional{first: mode - len(below)}
	for i := len(below) - 1; i >= 0; i-- {
		c.weights = append(c.weights, below[i])
	}
	c.weights = append(c.weights, 1)
	for x, w := mode, 1.0; x < high; x++ {
		if w *= step(x); w <= cut {
			break
		}
		c.weights = append(c.weights, w)
	}
	c.total = c.sum(func(int, float64) bool { return true })
	return c
}

func (c conditional) weight(x int) float64 {
	if i := x - c.first; i >= 0 && i < len(c.weights) {
		return c.weights[i]
	}
	return 0
}

// sum adds the chosen weights from both ends inwards, small ones first.
func (c conditional) sum(chosen func(x int, weight float64) bool) float64 {
	sum := 0.0
	for i, j := 0, len(c.weights)-1; i <= j; {
		at := i
		if c.weights[j] < c.weights[i] {
			at = j
			j--
		} else {
			i++
		}
		if chosen(c.first+at, c.weights[at]) {
			sum += c.weights[at]
		}
	}
	return sum
}

func (c conditional) share(chosen func(x int, weight float64) bool) float64 {
	return c.sum(chosen) / c.total
}

// above returns the mean distance of the defects from x.
func (c conditional) above(x int) float64 {
	sum := 0.0
	for i, w := range c.weights {
		sum += float64(c.first+i-x) * w
	}
	return sum / c.total
}

// widestLogOdds bounds the search for an odds ratio. No table of MaxCount parts leads as
// far, and its exponential is still a float64.
const widestLogOdds = 300

// ConditionalOddsRatio returns the odds ratio that makes the table likeliest with all
// margins fixed, and its exact interval. Errors are of type *Error.
func ConditionalOddsRatio(p Pair, level float64) (Effect, error) {
	if err := p.check(); err != nil {
		return Effect{}, err
	}
	if err := checkLevel(level); err != nil {
		return Effect{}, err
	}
	seen, alpha := p.First.Defects, (1-level)/2
	odds := func(rising func(conditional) float64) float64 {
		return math.Exp(bisect(func(logPsi float64) float64 {
			return rising(newConditional(p, logPsi, negligible*alpha))
		}, -widestLogOdds, widestLogOdds))
	}

	effect := Effect{
		Basis: Basis{
			Method: "conditional maximum-likelihood odds ratio with exact interval",
			Source: "Cornfield, Proc. Third Berkeley Symp. 4 (1956) 135-148; Fisher’s noncentral hypergeometric distribution",
		},
		Measure: Odds,
		Pair:    p,
		Size:    Interval{Value: 0, Low: 0, High: math.Inf(1), Level: level},
	}
	least := max(0, p.defects()-p.Second.Parts)
	most := min(p.defects(), p.First.Parts)
	if seen > least {
		effect.Size.Low = odds(func(c conditional) float64 {
			return c.share(func(x int, _ float64) bool { return x >= seen }) - alpha
		})
	} else {
		effect.guard(fmt.Sprintf("the first group has as few defects as it can, %d: the odds ratio has no lower end but 0", seen))
	}
	if seen < most {
		effect.Size.High = odds(func(c conditional) float64 {
			return alpha - c.share(func(x int, _ float64) bool { return x <= seen })
		})
	} else {
		effect.guard(fmt.Sprintf("the first group has as many defects as it can, %d: the odds ratio has no upper end", seen))
	}
	switch {
	case seen == most:
		effect.Size.Value = math.Inf(1)
	case seen > least:
		effect.Size.Value = odds(func(c conditional) float64 { return c.above(seen) })
	}
	return effect, nil
}
