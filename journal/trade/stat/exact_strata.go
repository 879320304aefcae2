package stat

import (
	"cmp"
	"math"
	"slices"
)

// Conditional is the exact test of strata: whether a group has more or fewer defects than
// its share of each stratum, with all margins held as they are.
type Conditional struct {
	P       float64 `json:"p"`       // two-sided
	More    float64 `json:"p_more"`  // of so many defects in the first group, or more
	Fewer   float64 `json:"p_fewer"` // of so many, or fewer
	Least   float64 `json:"p_least"` // the smallest two-sided p that these margins could have given
	Defects int     `json:"defects"` // in the first group
	Expect  float64 `json:"expected"`
	// Variance is that of the defects in the first group, by chance alone.
	Variance float64 `json:"variance"`
}

// Beyond is by how many standard deviations the first group has more defects than
// expected.
func (c Conditional) Beyond() float64 {
	if c.Variance == 0 {
		return 0
	}
	return (float64(c.Defects) - c.Expect) / math.Sqrt(c.Variance)
}

// Roughly returns the expected defects and their variance without the exact test, which
// takes many times as long: what [ExactStrata] returns with P, More, Fewer and Least left
// at 1.
func Roughly(tables ...Pair) Conditional {
	c := Conditional{P: 1, More: 1, Fewer: 1, Least: 1}
	for _, t := range tables {
		c.Defects += t.First.Defects
		n, bad, first := float64(t.parts()), float64(t.defects()), float64(t.First.Parts)
		if n > 0 {
			c.Expect += first * bad / n
		}
		if n > 1 {
			c.Variance += first / n * (n - first) / n * bad * (n - bad) / (n - 1)
		}
	}
	return c
}

// trimmed is how unlikely, beside the likeliest count, a count has to be to be left out of
// a sum. It is far below what double precision keeps of a p value that anybody looks at.
const trimmed = 1e-120

// ExactStrata tests whether the first groups of all strata have the defect as often as the
// second ones: the exact conditional test of a common odds ratio of 1 (Birch, J. R. Statist.
// Soc. B 26 (1964) 313-324; Mehta, Patel and Gray, J. Am. Statist. Assoc. 80 (1985)
// 969-973). A stratum with an empty row or column adds nothing. It is meant to be asked
// very often and checks no counts: they have to be true counts.
func ExactStrata(tables ...Pair) Conditional {
	c := Roughly(tables...)
	sum, from := []float64{1}, 0
	for _, t := range tables {
		weights, low := margins(t)
		sum, from = convolved(sum, weights), from+low
		sum, from = trimmedEnds(sum, from)
	}
	total := 0.0
	for _, w := range sum {
		total += w
	}
	at := c.Defects - from
	if at < 0 || at >= len(sum) { // so unlikely that it was left out
		c.P, c.Least = trimmed, trimmed
		c.More, c.Fewer = trimmed, trimmed
		if at < 0 {
			c.More = 1
		} else {
			c.Fewer = 1
		}
		return c
	}
	below, above, both, least := 0.0, 0.0, 0.0, math.Inf(1)
	for i, w := range sum {
		if i <= at {
			below += w
		}
		if i >= at {
			above += w
		}
		if w <= sum[at]*ties {
			both += w
		}
		least = min(least, w)
	}
	ends := 0.0
	for _, w := range sum {
		if w <= least*ties {
			ends += w
		}
	}
	c.P, c.More, c.Fewer, c.Least = min(1, both/total), above/total, below/total, min(1, ends/total)
	return c
}

// ties counts outcomes as equally likely that differ by rounding only, as R does.
const ties = 1 + 1e-7

// margins returns how likely each count of defects in the first group is with the margins
// of a table held, beside the likeliest, and the lowest count.
func margins(t Pair) (weights []float64, low int) {
	n1, n2, d := t.First.Parts, t.Second.Parts, t.defects()
	low, high := max(0, d-n2), min(n1, d)
	weights = make([]float64, high-low+1)
	mode := min(max(int(float64(n1+1)*float64(d+1)/float64(n1+n2+2)), low), high)
	weights[mode-low] = 1
	for x := mode; x < high; x++ {
		weights[x+1-low] = weights[x-low] * float64(n1-x) * float64(d-x) / (float64(x+1) * float64(n2-d+x+1))
	}
	for x := mode; x > low; x-- {
		weights[x-1-low] = weights[x-low] * float64(x) * float64(n2-d+x) / (float64(n1-x+1) * float64(d-x+1))
	}
	return trimmedEnds(weights, low)
}

// trimmedEnds cuts off both ends of what is too unlikely to count.
func trimmedEnds(weights []float64, low int) ([]float64, int) {
	least := trimmed * slices.MaxFunc(weights, cmp.Compare)
	for len(weights) > 1 && weights[0] < least {
		weights, low = weights[1:], low+1
	}
	for len(weights) > 1 && weights[len(weights)-1] < least {
		weights = weights[:len(weights)-1]
	}
	return weights, low
}

func convolved(a, b []float64) []float64 {
	if len(b) == 1 {
		for i := range a {
			a[i] *= b[0]
		}
		return a
	}
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for k, y := range b {
			out[i+k] += x * y
		}
	}
	return out
}
