package stat_test

import (
	"encoding/json"
	"math"
	"testing"

	"fettlebook/journal/trade/stat"
)

// An invented shop: pinholes with and without prebake. All figures recomputed.
func TestPrebake(t *testing.T) {
	c := ok[stat.Comparison](t)(stat.Compare(stat.Pair{
		First:  stat.Sample{Name: "with prebake", Defects: 2, Parts: 40},
		Second: stat.Sample{Name: "without", Defects: 9, Parts: 35},
	}, 0.95))
	near(t, "two-sided p", c.Fisher.TwoSided, 0.019357, 6)
	for _, want := range []struct {
		name             string
		got              stat.Interval
		value, low, high float64
	}{
		{"odds ratio", c.OddsRatio.Size, 0.1520, 0.0304, 0.7617},
		{"conditional odds ratio", c.Exact.Size, 0.1557, 0.0152, 0.8390},
		{"risk ratio", c.RiskRatio.Size, 0.1944, 0.0450, 0.8402},
		{"difference", c.Difference.Size, -0.2071, -0.3746, -0.0441}, // first minus second
	} {
		near(t, want.name, want.got.Value, want.value, 4)
		near(t, want.name+" low", want.got.Low, want.low, 4)
		near(t, want.name+" high", want.got.High, want.high, 4)
	}
}

// Half a part in each cell (Haldane 1955, Anscombe 1956). All figures recomputed.
func TestEmptyCell(t *testing.T) {
	p := stat.Cells(0, 40, 9, 26)
	sample := ok[stat.Effect](t)(stat.OddsRatio(p, 0.95))
	near(t, "odds ratio", sample.Size.Value, 0.0344, 4)
	near(t, "low", sample.Size.Low, 0.0019, 4)
	near(t, "high", sample.Size.High, 0.617, 3)
	near(t, "p", ok[stat.Fisher](t)(stat.FisherExact(p)).TwoSided, 0.000562, 6)
	exact := ok[stat.Effect](t)(stat.ConditionalOddsRatio(p, 0.95))
	near(t, "exact estimate", exact.Size.Value, 0, 12)
	near(t, "exact high", exact.Size.High, 0.3702, 4)
	risk := ok[stat.Effect](t)(stat.RiskRatio(p, 0.95))
	for _, effect := range []stat.Effect{sample, exact, risk} {
		if len(effect.Guards) != 1 {
			t.Errorf("%s: guards are %q, want one", effect.Method, effect.Guards)
		}
	}
}

func TestOpenEndedOddsRatioInJSON(t *testing.T) {
	exact := ok[stat.Effect](t)(stat.ConditionalOddsRatio(stat.Cells(9, 26, 0, 40), 0.95))
	if !math.IsInf(exact.Size.Value, 1) || !math.IsInf(exact.Size.High, 1) {
		t.Fatalf("odds ratio is %v, want no upper end", exact.Size)
	}
	near(t, "low", exact.Size.Low, 1/0.3702, 2)
	written, err := json.Marshal(exact.Size)
	if err != nil {
		t.Fatal(err)
	}
	var read struct{ Value, Low, High, Level *float64 }
	if err := json.Unmarshal(written, &read); err != nil {
		t.Fatal(err)
	}
	if read.Value != nil || read.High != nil || read.Low == nil || *read.Low != exact.Size.Low || *read.Level != 0.95 {
		t.Errorf("%s: want null for the value and the upper end", written)
	}
}

func TestNoDefectAtAllStillHasADifference(t *testing.T) {
	d := ok[stat.Effect](t)(stat.Difference(stat.Cells(0, 10, 0, 10), 0.95))
	if !d.Size.Contains(0) || d.Size.Low != -d.Size.High {
		t.Errorf("interval is %v, want it even around 0", d.Size)
	}
}

// A million parts: Fisher's p keeps its far tail, where the first group's 600 and the
// second's 400 of half a million each are far apart.
func TestMillionParts(t *testing.T) {
	for _, c := range []struct {
		name  string
		table stat.Pair
		want  float64 // added up in logarithms by the formula of the hypergeometric distribution
	}{
		{"close", stat.Cells(520, 499480, 480, 499520), hypergeometricTail(520, 500_000, 500_000, 1000)},
		{"far", stat.Cells(600, 499400, 400, 499600), hypergeometricTail(600, 500_000, 500_000, 1000)},
		{"farther", stat.Cells(950, 499050, 50, 499950), hypergeometricTail(950, 500_000, 500_000, 1000)},
	} {
		t.Run(c.name, func(t *testing.T) {
			test := ok[stat.Fisher](t)(stat.FisherExact(c.table))
			if math.Abs(test.Greater/c.want-1) > 1e-6 || math.Abs(test.TwoSided/(2*c.want)-1) > 1e-6 {
				t.Errorf("p is %v and %v, want %v and twice that", test.Greater, test.TwoSided, c.want)
			}
			odds := ok[stat.Effect](t)(stat.ConditionalOddsRatio(c.table, 0.95)).Size
			sample := ok[stat.Effect](t)(stat.OddsRatio(c.table, 0.95)).Size
			if math.Abs(odds.Value/sample.Value-1) > 0.01 || math.Abs(odds.Low/sample.Low-1) > 0.05 {
				t.Errorf("exact odds ratio %v, want it near the sample's %v", odds, sample)
			}
		})
	}
}

// hypergeometricTail returns the chance that k or more of the d defects fall among the n1.
func hypergeometricTail(k, n1, n2, d int) float64 {
	logGamma := func(x int) float64 { value, _ := math.Lgamma(float64(x)); return value }
	choose := func(n, k int) float64 { return logGamma(n+1) - logGamma(k+1) - logGamma(n-k+1) }
	sum := 0.0
	for x := k; x <= min(d, n1); x++ {
		sum += math.Exp(choose(n1, x) + choose(n2, d-x) - choose(n1+n2, d))
	}
	return sum
}

func TestChiSquaredSaysWhenNotToTrustIt(t *testing.T) {
	if x := ok[stat.ChiSquare](t)(stat.ChiSquared(stat.Cells(3, 1, 1, 3))); len(x.Guards) != 1 {
		t.Errorf("guards are %q for eight cups, want one", x.Guards)
	}
	if x := ok[stat.ChiSquare](t)(stat.ChiSquared(stat.Cells(30, 10, 10, 30))); len(x.Guards) != 0 {
		t.Errorf("guards are %q for eighty, want none", x.Guards)
	}
}
