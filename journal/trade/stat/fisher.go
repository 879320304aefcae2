package stat

import (
	"fmt"
	"math"
)

// Fisher is the exact test whether two groups have the same rate.
type Fisher struct {
	Basis
	Pair     Pair    `json:"pair"`
	TwoSided float64 `json:"two_sided"` // chance of a table no likelier than this one
	Less     float64 `json:"less"`      // chance of as few defects in the first group, or fewer
	Greater  float64 `json:"greater"`   // chance of as many defects in the first group, or more
}

// tie is how far above the observed probability another still counts as equal: equal
// tables come out unequal in the last digits.
const tie = 1e-7

// FisherExact tests the pair with all margins fixed; two-sided it sums the probabilities
// of the tables that are not likelier. Where no part or every part has the defect there is
// only one table, whose chance is 1. A p value too small to write is the smallest number
// above 0. Errors are of type *Error.
func FisherExact(p Pair) (Fisher, error) {
	if err := p.checkCounts(); err != nil {
		return Fisher{}, err
	}
	seen := p.First.Defects
	tables := newConditional(p, 0, 0)
	limit := tables.weight(seen) * (1 + tie)
	written := func(chance float64) float64 { return max(min(chance, 1), math.SmallestNonzeroFloat64) }
	return Fisher{
		Basis: Basis{
			Method: "Fisher’s exact test",
			Source: "Fisher, The Design of Experiments (1935), chapter 2; two-sided by probability: Agresti, Statist. Sci. 7 (1992) 131-153",
		},
		Pair:     p,
		TwoSided: written(tables.share(func(_ int, weight float64) bool { return weight <= limit })),
		Less:     written(tables.share(func(x int, _ float64) bool { return x <= seen })),
		Greater:  written(tables.share(func(x int, _ float64) bool { return x >= seen })),
	}, nil
}

// Say returns the test as one sentence.
func (f Fisher) Say() string {
	return fmt.Sprintf("%v: if both groups had the same rate, a split as uneven as this would come by chance with %s",
		f.Pair, chance(f.TwoSided))
}

// ChiSquare is a chi-squared statistic on one degree of freedom.
type ChiSquare struct {
	Basis
	Statistic float64 `json:"statistic"`
	P         float64 `json:"p"`
}

// smallExpected is the expected count below which the chi-squared p value is not trusted
// (Cochran, Biometrics 10 (1954) 417-451).
const smallExpected = 5

// ChiSquared returns Pearson's statistic without continuity correction. It stands at the
// side: the exact test decides. Errors are of type *Error.
func ChiSquared(p Pair) (ChiSquare, error) {
	if err := p.check(); err != nil {
		return ChiSquare{}, err
	}
	a, b, c, d := p.counts()
	n, row1, row2, col1, col2 := a+b+c+d, a+b, c+d, a+c, b+d
	cross := a*d - b*c
	x := ChiSquare{Basis: Basis{
		Method: "Pearson’s chi-squared without continuity correction",
		Source: "Pearson, Phil. Mag. 50 (1900) 157-175; Agresti, Categorical Data Analysis, section 3.2",
	}}
	x.Statistic = n * (cross / row1 / row2) * (cross / col1 / col2)
	x.P = survival(x.Statistic)
	if least := min(row1, row2) * min(col1, col2) / n; least < smallExpected {
		x.guard(fmt.Sprintf("a cell expects only %s parts, fewer than %d: trust the exact test, not this", figure(least), smallExpected))
	}
	return x, nil
}

// survival is the chance of a chi-squared on one degree of freedom beyond x.
func survival(x float64) float64 { return math.Erfc(math.Sqrt(x / 2)) }

// Say returns the statistic as one sentence.
func (x ChiSquare) Say() string {
	return fmt.Sprintf("chi-squared %s on one degree of freedom, %s", figure(x.Statistic), chance(x.P))
}
