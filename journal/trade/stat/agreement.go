package stat

import (
	"fmt"
	"math"

	"fettlebook/journal/words"

	"gonum.org/v1/gonum/stat/distuv"
)

// Agreement is the test whether all strata have the same odds ratio, so that one figure
// may stand for them.
type Agreement struct {
	Basis
	Statistic float64 `json:"statistic"`
	Freedom   int     `json:"freedom"` // degrees of freedom, one less than the strata
	P         float64 `json:"p"`
}

// Say returns the test as one sentence.
func (a Agreement) Say() string {
	return fmt.Sprintf("chi-squared %s on %s of freedom, %s", figure(a.Statistic),
		words.Either(a.Freedom, "degree", "degrees"), chance(a.P))
}

// roughFrom is the share of cells that may expect fewer than smallExpected parts before
// the chance of the test is called rough (Cochran, Biometrics 10 (1954) 417-451).
const roughFrom = 0.2

// agreement tests the strata against the pooled odds ratio. It needs two of them, and an
// odds ratio that is neither 0 nor without end.
func agreement(tables []Pair, pooled float64) *Agreement {
	if len(tables) < 2 || !(pooled > 0) || math.IsInf(pooled, 1) {
		return nil
	}
	test := &Agreement{Freedom: len(tables) - 1, Basis: Basis{
		Method: "Breslow-Day test with Tarone’s correction",
		Source: "Breslow and Day, Statistical Methods in Cancer Research 1 (1980), section 4.4; Tarone, Biometrika 72 (1985) 91-95",
	}}
	excess, variance, small := 0.0, 0.0, 0
	for _, table := range tables {
		a, _, _, _ := table.counts()
		cells, v := table.expected(pooled)
		test.Statistic += (a - cells[0]) * (a - cells[0]) / v
		excess += a - cells[0]
		variance += v
		for _, cell := range cells {
			if cell < smallExpected {
				small++
			}
		}
	}
	test.Statistic = max(0, test.Statistic-excess*excess/variance)
	test.P = distuv.ChiSquared{K: float64(test.Freedom)}.Survival(test.Statistic)
	if float64(small) > roughFrom*float64(4*len(tables)) {
		test.guard(fmt.Sprintf("fewer than %d parts are expected in %s, so the test whether the strata agree is rough, and strata that differ may well pass it",
			smallExpected, words.Of(small, 4*len(tables), "cell")))
	}
	return test
}

// expected returns what the four cells would hold on average at an odds ratio with all
// margins fixed, and the variance of each, both for large numbers.
func (p Pair) expected(odds float64) (cells [4]float64, variance float64) {
	n1, n2, defects := float64(p.First.Parts), float64(p.Second.Parts), float64(p.defects())
	// x·(n2 − defects + x) = odds·(n1 − x)·(defects − x); the left side less the right one
	// rises with x.
	low, high := max(0, defects-n2), min(n1, defects)
	x := bisect(func(x float64) float64 { return x*(n2-defects+x) - odds*(n1-x)*(defects-x) }, low, high)
	cells = [4]float64{x, n1 - x, defects - x, n2 - defects + x}
	inverse := 0.0
	for _, cell := range cells {
		inverse += 1 / cell
	}
	return cells, 1 / inverse
}
