package stat

import (
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

// Scarcely says without the exact test, which takes many times as long, what it comes to
// where the first groups are small and have one defect or none: its Least, but for
// rounding, and a p that its P is not below. It returns false where it cannot tell.
//
// The counts that chance may give are log-concave, so the rarest of them is at an end; it
// is the upper one, all parts with the defect, if that is rarer than the lower one. No
// defect is as likely as that count alone, at least. One defect is at least as likely as no
// defect, where the likeliest count is above it, and else as all counts but that.
func Scarcely(tables ...Pair) (least, p float64, ok bool) {
	none, all, defects := 1.0, 1.0, 0
	for _, t := range tables {
		n, d, first := t.parts(), t.defects(), t.First.Parts
		if defects += t.First.Defects; defects > 1 || first > small || first > d || first > n-d {
			return 0, 0, false
		}
		for k := range first {
			left := float64(n - k)
			none *= float64(n-d-k) / left
			all *= float64(d-k) / left
		}
	}
	return all, min(none, 1-none), all < none/2
}

// small is up to how many parts of a stratum are taken one by one.
const small = 16

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
	var space [3][short]float64 // most sums are: then nothing is allocated
	sum, next, from := append(space[0][:0], 1), space[1][:0], 0
	for _, t := range tables {
		weights, low := margins(space[2][:0], t)
		if from += low; len(weights) == 1 {
			for i := range sum {
				sum[i] *= weights[0]
			}
		} else {
			sum, next = convolved(next[:0], sum, weights), sum
		}
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

// short is how many counts fit without memory of their own.
const short = 64

// margins appends how likely each count of defects in the first group is with the margins
// of a table held, beside the likeliest, and returns the lowest count.
func margins(into []float64, t Pair) (weights []float64, low int) {
	n1, n2, d := t.First.Parts, t.Second.Parts, t.defects()
	low, high := max(0, d-n2), min(n1, d)
	mode := min(max(int(float64(n1+1)*float64(d+1)/float64(n1+n2+2)), low), high)
	weights = append(into, 1)
	x := mode
	for ; x > low && weights[len(weights)-1] > trimmed/2; x-- {
		weights = append(weights, weights[len(weights)-1]*float64(x)*float64(n2-d+x)/(float64(n1-x+1)*float64(d-x+1)))
	}
	low = x
	slices.Reverse(weights[len(into):])
	for x := mode; x < high && weights[len(weights)-1] > trimmed/2; x++ {
		weights = append(weights, weights[len(weights)-1]*float64(n1-x)*float64(d-x)/(float64(x+1)*float64(n2-d+x+1)))
	}
	return trimmedEnds(weights[len(into):], low)
}

// trimmedEnds cuts off both ends of what is too unlikely to count.
func trimmedEnds(weights []float64, low int) ([]float64, int) {
	most := weights[0]
	for _, w := range weights {
		if w > most { // slices.Max looks for NaN as well, and takes three times as long
			most = w
		}
	}
	least := trimmed * most
	for len(weights) > 1 && weights[0] < least {
		weights, low = weights[1:], low+1
	}
	for len(weights) > 1 && weights[len(weights)-1] < least {
		weights = weights[:len(weights)-1]
	}
	return weights, low
}

// convolved appends how likely the sums of two counts are. Two counts of the first are
// taken at a time; each sum is still added up in their order.
func convolved(into, a, b []float64) []float64 {
	from, n, last := len(into), len(b), len(b)-1
	out := slices.Grow(into, len(a)+last)[:from+len(a)+last]
	sums := out[from:]
	clear(sums)
	i := 0
	for ; i+1 < len(a); i += 2 {
		x, y := a[i], a[i+1]
		at := sums[i : i+n+1]
		at[0] += x * b[0]
		for k := 1; k < n; k++ {
			at[k] = at[k] + x*b[k] + y*b[k-1]
		}
		at[n] += y * b[last]
	}
	if i < len(a) {
		for k, y := range b {
			sums[i+k] += a[i] * y
		}
	}
	return out
}
