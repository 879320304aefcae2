package stat_test

import (
	"fmt"
	"math"
	"testing"

	"fettlebook/journal/trade/stat"
)

// Recomputed; R's manual prints the same for binom.test(682, 925) (from memory).
func TestMendelsPeas(t *testing.T) {
	p := ok[stat.Proportion](t)(stat.ClopperPearson(stat.Sample{Defects: 682, Parts: 925}, 0.95, stat.BothSides))
	near(t, "low", p.Rate.Low, 0.707668, 6)
	near(t, "high", p.Rate.High, 0.765407, 6)
}

// The exact bound is 1 - 0.05^(1/n); the rule of three is near it for many parts (Hanley
// and Lippman-Hand 1983).
func TestNoneFound(t *testing.T) {
	for _, c := range []struct {
		parts    int
		want     float64
		decimals int
	}{
		{10, 0.2589, 4}, {30, 0.0950, 4}, {59, 0.0495, 4}, {100, 0.0295, 4}, {300, 0.00994, 5}, // recomputed
		{1_000_000, 2.9957278e-6, 12}, // -ln 0.05 / n
	} {
		t.Run(fmt.Sprint(c.parts), func(t *testing.T) {
			p := ok[stat.Proportion](t)(stat.NoneFound(c.parts, 0.95))
			near(t, "bound", p.Rate.High, c.want, c.decimals)
			if three := 3 / float64(c.parts); c.parts >= 30 && math.Abs(three/p.Rate.High-1) > 0.06 {
				t.Errorf("bound %v is far from the rule of three, %v", p.Rate.High, three)
			}
		})
	}
}

// Recomputed.
func TestWilsonUpperOfNone(t *testing.T) {
	p := ok[stat.Proportion](t)(stat.Wilson(stat.Sample{Parts: 30}, 0.95))
	near(t, "high", p.Rate.High, 0.1135, 4)
}

func TestOneSidedIsTheTwoSidedOfDoubleDoubt(t *testing.T) {
	s := stat.Sample{Defects: 4, Parts: 20}
	both := ok[stat.Proportion](t)(stat.ClopperPearson(s, 0.90, stat.BothSides)).Rate
	upper := ok[stat.Proportion](t)(stat.ClopperPearson(s, 0.95, stat.UpperSide)).Rate
	lower := ok[stat.Proportion](t)(stat.ClopperPearson(s, 0.95, stat.LowerSide)).Rate
	near(t, "upper", upper.High, both.High, 12)
	near(t, "lower", lower.Low, both.Low, 12)
	if upper.Low != 0 || lower.High != 1 {
		t.Errorf("open ends are %v and %v, want 0 and 1", upper.Low, lower.High)
	}
}

// The exact ends are where the tail of the binomial distribution is half the doubt; here
// that tail is added up term by term in logarithms, for as many parts as are taken.
func TestClopperPearsonOfManyParts(t *testing.T) {
	for _, s := range []stat.Sample{
		{Defects: 3, Parts: 1_000_000}, {Defects: 1000, Parts: 1_000_000}, {Defects: 500_000, Parts: 1_000_000}, {Defects: 999_990, Parts: 1_000_000},
	} {
		t.Run(s.String(), func(t *testing.T) {
			p := ok[stat.Proportion](t)(stat.ClopperPearson(s, 0.95, stat.BothSides)).Rate
			if tail := binomialTail(s.Defects, s.Parts, p.Low); math.Abs(tail/0.025-1) > 1e-6 {
				t.Errorf("chance of %d or more at the lower end is %v, want 0.025", s.Defects, tail)
			}
			if tail := binomialTail(s.Parts-s.Defects, s.Parts, 1-p.High); math.Abs(tail/0.025-1) > 1e-6 {
				t.Errorf("chance of %d or fewer at the upper end is %v, want 0.025", s.Defects, tail)
			}
		})
	}
}

// binomialTail returns the chance of k or more of n.
func binomialTail(k, n int, p float64) float64 {
	logGamma := func(x int) float64 { value, _ := math.Lgamma(float64(x)); return value }
	sum := 0.0
	for x := k; x <= n; x++ {
		term := math.Exp(logGamma(n+1) - logGamma(x+1) - logGamma(n-x+1) + float64(x)*math.Log(p) + float64(n-x)*math.Log1p(-p))
		if sum += term; term < 1e-20 && x > k+10 {
			break
		}
	}
	return sum
}
