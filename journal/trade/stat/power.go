package stat

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// wantedPower is the chance with which a difference must show before it is said that it
// would have: the usual figure, common practice. usually is how people read it.
const (
	wantedPower = 0.80
	usually     = "four times in five"
)

// usualPower is wantedPower in standard errors.
func usualPower() float64 { return distuv.UnitNormal.Quantile(wantedPower) }

// Detectable is the smallest difference that two groups of a size would have shown.
type Detectable struct {
	Basis
	Pair  Pair    `json:"pair"`
	Alpha float64 `json:"alpha"` // chance of seeing a difference that is not there, two-sided
	Power float64 `json:"power"` // chance of seeing the difference that is there
	From  float64 `json:"from"`  // rate of the second group, taken as it was seen
	// To is the nearest rate of the first group that differs enough, on the side on which
	// it was seen. It is below 0 or above 1 where no rate does.
	To float64 `json:"to"`
}

// Possible reports whether any rate of the first group would have shown.
func (d Detectable) Possible() bool { return 0 <= d.To && d.To <= 1 }

// fewPairs is the product of two groups' parts up to which their power is added up table
// by table; beyond it an approximation does.
const fewPairs = 10_000

// Detect returns the smallest difference that would have shown in groups of these sizes
// four times in five, by Fisher's exact test. Errors are of type *Error.
func Detect(p Pair, level float64) (Detectable, error) {
	if err := p.checkCounts(); err != nil {
		return Detectable{}, err
	}
	if err := checkLevel(level); err != nil {
		return Detectable{}, err
	}
	d := Detectable{Pair: p, Alpha: 1 - level, Power: wantedPower, From: p.Second.Rate()}
	enough := d.approximate()
	if p.First.Parts*p.Second.Parts <= fewPairs {
		enough = d.exact()
	}
	// At the second group's own rate nothing can show, so the edge lies between it and an end.
	if p.First.Rate() < d.From || d.From == 1 {
		d.To = -1
		if enough(0) >= 0 {
			d.To = bisect(func(to float64) float64 { return -enough(to) }, 0, d.From)
		}
		return d, nil
	}
	d.To = 2
	if enough(1) >= 0 {
		d.To = bisect(enough, d.From, 1)
	}
	return d, nil
}

// approximate returns by how much more than enough a rate of the first group differs.
func (d *Detectable) approximate() func(to float64) float64 {
	d.Method, d.Source = "power for two proportions with continuity correction", "Fleiss, Tytun and Ury, Biometrics 36 (1980) 343-346"
	n1, n2 := float64(d.Pair.First.Parts), float64(d.Pair.Second.Parts)
	return func(to float64) float64 {
		middle := (n1*to + n2*d.From) / (n1 + n2)
		return math.Abs(to-d.From) - (1/n1+1/n2)/2 - twoSided(1-d.Alpha)*math.Sqrt(middle*(1-middle)*(1/n1+1/n2)) -
			usualPower()*math.Sqrt(to*(1-to)/n1+d.From*(1-d.From)/n2)
	}
}

// exact returns how much more than the wanted power the test has at a rate of the first
// group: the chance of all tables that it would find uneven.
func (d *Detectable) exact() func(to float64) float64 {
	d.Method, d.Source = "exact power of Fisher’s exact test", "added up over all tables"
	n1, n2 := d.Pair.First.Parts, d.Pair.Second.Parts
	uneven := make([][]bool, n1+1) // by the defects of the first group and the second
	for x := range uneven {
		uneven[x] = make([]bool, n2+1)
	}
	for defects := range n1 + n2 + 1 {
		first := min(defects, n1)
		tables := newConditional(Cells(first, n1-first, defects-first, n2-defects+first), 0, 0)
		for _, x := range tables.within(d.Alpha) {
			uneven[x][defects-x] = true
		}
	}
	second := binomial(n2, d.From)
	found := make([]float64, n1+1) // chance that so many in the first group are found uneven
	for x := range found {
		for y, chance := range second {
			if uneven[x][y] {
				found[x] += chance
			}
		}
	}
	return func(to float64) float64 {
		power := 0.0
		for x, chance := range binomial(n1, to) {
			power += chance * found[x]
		}
		return power - d.Power
	}
}

// within returns the counts whose two-sided p lies below alpha.
func (c conditional) within(alpha float64) (counts []int) {
	byWeight := make([]int, len(c.weights))
	for i := range byWeight {
		byWeight[i] = i
	}
	slices.SortFunc(byWeight, func(i, j int) int { return cmp.Compare(c.weights[i], c.weights[j]) })
	sum := 0.0
	for at := 0; at < len(byWeight); {
		// Equal weights, but for rounding, are one step.
		limit, end := c.weights[byWeight[at]]*(1+tie), at
		for end < len(byWeight) && c.weights[byWeight[end]] <= limit {
			sum += c.weights[byWeight[end]]
			end++
		}
		if sum/c.total >= alpha {
			return counts
		}
		for ; at < end; at++ {
			counts = append(counts, c.first+byWeight[at])
		}
	}
	return counts
}

// binomial returns the chance of each count of n at a rate.
func binomial(n int, rate float64) []float64 {
	chances := make([]float64, n+1)
	if rate == 0 || rate == 1 {
		chances[int(rate)*n] = 1
		return chances
	}
	all, _ := math.Lgamma(float64(n + 1))
	for k := range chances {
		in, _ := math.Lgamma(float64(k + 1))
		out, _ := math.Lgamma(float64(n - k + 1))
		chances[k] = math.Exp(all - in - out + float64(k)*math.Log(rate) + float64(n-k)*math.Log1p(-rate))
	}
	return chances
}

// Say returns the result as one sentence.
func (d Detectable) Say() string {
	switch {
	case d.Possible():
		return fmt.Sprintf("with %d and %d parts only a difference of about %s or more would show (%s), such as %s in the first group against %s",
			d.Pair.First.Parts, d.Pair.Second.Parts, percentagePoints(math.Abs(d.To-d.From)), usually, percent(d.To), percent(d.From))
	case d.To < 0:
		return "so few parts cannot show an improvement: even if the first group never had the defect, that would show less often than " + usually
	default:
		return "so few parts cannot show a difference: even if every part of the first group had the defect, that would show less often than " + usually
	}
}
