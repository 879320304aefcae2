package stat_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/trade/stat"
)

// Casagrande, Pike and Smith's 474 parts in each group tell 5 % from 10 % at 0.05 and 0.80
// (their table as Fleiss reprints it, from memory); without continuity correction it is 435.
func TestDetectAgainstSampleSize(t *testing.T) {
	for _, c := range []struct {
		parts, defects int
		to             float64
	}{{474, 24, 0.10}, {474, 47, 0.05}} {
		other := c.defects + 1
		if c.to < 0.08 {
			other = c.defects - 1
		}
		d := ok[stat.Detectable](t)(stat.Detect(stat.Cells(other, c.parts-other, c.defects, c.parts-c.defects), 0.95))
		if math.Abs(d.To-c.to) > 0.0015 {
			t.Errorf("%d parts show %v against %v, want about %v", c.parts, d.To, d.From, c.to)
		}
	}
}

// Nothing in both groups still has Newcombe's interval (0 of 10 against 0 of 20 in his
// Table II, method 10, 1998), and what would have shown.
func TestNothingFoundInEither(t *testing.T) {
	c := ok[stat.Comparison](t)(stat.Compare(stat.Cells(0, 10, 0, 20), 0.95))
	near(t, "low", c.Difference.Size.Low, -0.1611, 4)
	near(t, "high", c.Difference.Size.High, 0.2775, 4)
	if c.Fisher.TwoSided != 1 || c.Differ() || !c.Detectable.Possible() || c.OddsRatio.Method != "" {
		t.Errorf("got %+v", c)
	}
	for _, p := range []stat.Pair{stat.Cells(0, 10, 0, 20), stat.Cells(10, 0, 20, 0)} {
		s := ok[stat.Comparison](t)(stat.Compare(p, 0.95)).Sheet()
		for _, r := range s.Results {
			if strings.Contains(r.Name, "ratio") || strings.Contains(r.Name, "chi") {
				t.Errorf("%v has the result %s", p, r.Name)
			}
		}
		if !slices.ContainsFunc(s.Warnings, func(w string) bool { return strings.Contains(w, "no ratio") }) {
			t.Errorf("%v warns %q", p, s.Warnings)
		}
	}
	search := ok[stat.Search](t)(stat.BenjaminiHochberg([]stat.Cause{{Name: "lot", P: c.Fisher.TwoSided}}, 1, 0.05))
	if len(search.Kept()) != 0 {
		t.Error("nothing found in either stands out")
	}
}

// An odds ratio without sorting is called misleading where the intervals part, and not
// where they overlap, however far the figures lie apart.
func TestMisleadingOnlyWhereIntervalsPart(t *testing.T) {
	small := []stat.Stratum{{Name: "iron", Pair: stat.Cells(18, 42, 6, 14)}, {Name: "aluminium", Pair: stat.Cells(1, 19, 3, 57)}}
	var large []stat.Stratum
	for _, s := range small {
		a, c := s.Pair.First, s.Pair.Second
		large = append(large, stat.Stratum{Name: s.Name, Pair: stat.Cells(20*a.Defects, 20*(a.Parts-a.Defects), 20*c.Defects, 20*(c.Parts-c.Defects))})
	}
	for _, c := range []struct {
		strata     []stat.Stratum
		misleading bool
	}{{small, false}, {large, true}} {
		p := ok[stat.Pooled](t)(stat.MantelHaenszel(c.strata, 0.95))
		parted := p.OddsRatio.High < p.Crude.Low || p.OddsRatio.Low > p.Crude.High
		if parted != c.misleading || strings.Contains(p.Say(), "misleading") != c.misleading || !strings.Contains(p.Say(), "without sorting it is 2.46") {
			t.Errorf("%v against %v: %s", p.Crude, p.OddsRatio, p.Say())
		}
	}
}

// Strata of opposite sign are said to disagree, each with its own figure; one stratum alone,
// or none with a finite odds ratio, is not tested.
func TestOppositeStrataDisagree(t *testing.T) {
	opposite := []stat.Stratum{{Name: "iron", Pair: stat.Cells(18, 42, 6, 54)}, {Name: "aluminium", Pair: stat.Cells(5, 55, 16, 44)}}
	p := ok[stat.Pooled](t)(stat.MantelHaenszel(opposite, 0.95))
	if !p.Disagree() || !strings.HasPrefix(p.Say(), "the strata disagree") || !strings.Contains(p.Say(), "iron 3.86") || !strings.Contains(p.Say(), "aluminium 0.25") {
		t.Errorf("%+v: %s", p.Agreement, p.Say())
	}
	for name, strata := range map[string][]stat.Stratum{
		"one stratum":        opposite[:1],
		"the same cell bare": {{Pair: stat.Cells(5, 10, 0, 12)}, {Pair: stat.Cells(2, 10, 0, 7)}},
	} {
		if p := ok[stat.Pooled](t)(stat.MantelHaenszel(strata, 0.95)); p.Agreement != nil || p.Disagree() {
			t.Errorf("%s: %+v, want no test", name, p.Agreement)
		}
	}
}

// What is said to show in a single point does so four times in five, by tails that the
// test adds up itself, and by drawing lots.
func TestQuietCharts(t *testing.T) {
	t.Run("p", func(t *testing.T) {
		for _, parts := range []int{20, 100} {
			chart := ok[stat.Chart](t)(stat.PChart([]stat.Sample{of(parts/10, parts), of(parts/20, parts), of(parts/10, parts)}))
			beyond := int(math.Floor(chart.Points[2].High*float64(parts)+1e-9)) + 1
			near(t, fmt.Sprint(parts, " parts"), binomialTail(beyond, parts, chart.Quiet.Fold*chart.Centre), 0.8, 6)
		}
		blind := ok[stat.Chart](t)(stat.PChart([]stat.Sample{of(1, 2), of(1, 2), of(0, 2)}))
		if !blind.Quiet.Blind || !strings.Contains(blind.Say(), "with so few parts to a point none ever can") {
			t.Errorf("two parts to a point: %s", blind.Say())
		}
	})
	t.Run("c", func(t *testing.T) {
		chart := ok[stat.Chart](t)(stat.CChart([]int{16, 14, 28, 16}))
		mean, below, term := chart.Quiet.Fold*chart.Centre, 0.0, math.Exp(-chart.Quiet.Fold*chart.Centre)
		for k := 0; float64(k) <= chart.Points[0].High; k++ {
			below += term
			term *= mean / float64(k+1)
		}
		near(t, "beyond the limit", 1-below, 0.8, 6)
	})
	t.Run("g", func(t *testing.T) {
		chart := ok[stat.Gaps](t)(stat.GChart([]int{23, 41, 17, 30, 55, 12, 18, 64, 19, 26}))
		random, runs, short := rand.New(rand.NewPCG(3, 4)), 20000, 0
		rate := chart.Quiet.Fold / (chart.Centre + 1)
		for range runs {
			all := true
			for range chart.Run.Length {
				gap := 0
				for random.Float64() >= rate {
					gap++
				}
				all = all && gap <= chart.Run.AtMost
			}
			if all {
				short++
			}
		}
		if share := float64(short) / float64(runs); math.Abs(share-0.8) > 0.01 {
			t.Errorf("a run comes %v of the time, want 0.8", share)
		}
	})
	t.Run("readings", func(t *testing.T) {
		r := ok[stat.Readings](t)(stat.IndividualsChart([]float64{80, 84, 79, 85, 82, 81}))
		// The chance above 3 sigma after a shift by so many sigma.
		near(t, "beyond the limit", math.Erfc((3-r.Individuals.Quiet.Shift/r.Sigma)/math.Sqrt2)/2, 0.8, 6)
	})
	t.Run("t", func(t *testing.T) {
		chart := ok[stat.Times](t)(stat.TChart([]float64{286, 948, 536, 124, 816, 729}))
		near(t, "below the limit", 1-math.Exp(-chart.Points[0].Low*chart.Quiet.Fold/chart.MeanTime), 0.8, 6)
	})
}
