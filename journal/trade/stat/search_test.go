package stat_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"fettlebook/journal/trade/stat"
)

// Causes that were looked at but are not listed count like p values of 1.
func TestUnlistedCausesCount(t *testing.T) {
	listed := []stat.Cause{{Name: "lot", P: 0.004}, {Name: "day", P: 0.03}}
	short := ok[stat.Search](t)(stat.BenjaminiHochberg(listed, 20, 0.05))
	padded := listed
	for range 18 {
		padded = append(padded, stat.Cause{P: 1})
	}
	whole := ok[stat.Search](t)(stat.BenjaminiHochberg(padded, 20, 0.05))
	for i := range listed {
		if short.Findings[i] != whole.Findings[i] {
			t.Errorf("finding %d is %+v, want %+v", i, short.Findings[i], whole.Findings[i])
		}
	}
	if len(short.Guards) != 1 || len(whole.Guards) != 0 {
		t.Errorf("guards are %q and %q, want one and none", short.Guards, whole.Guards)
	}
	if alone := ok[stat.Search](t)(stat.BenjaminiHochberg(listed, 2, 0.05)); len(alone.Kept()) != 2 || len(short.Kept()) != 0 {
		t.Errorf("%d of two and %d of twenty are kept, want 2 and 0", len(alone.Kept()), len(short.Kept()))
	}
}

// A p value above its own threshold is kept when a larger one lies below its threshold.
func TestStepUp(t *testing.T) {
	search := ok[stat.Search](t)(stat.BenjaminiHochberg([]stat.Cause{{P: 0.04}, {P: 0.045}}, 2, 0.05))
	if len(search.Kept()) != 2 {
		t.Errorf("%d kept, want 2", len(search.Kept()))
	}
}

// Two arms, two-sided 0.05, power 0.80, without continuity correction: recomputed.
func TestSampleSize(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		want     int
	}{
		{0.05, 0.10, 435}, {0.05, 0.15, 141}, {0.05, 0.20, 76}, {0.02, 0.10, 138}, {0.10, 0.25, 100},
	} {
		t.Run(fmt.Sprint(c.from, c.to), func(t *testing.T) {
			if got := ok[stat.Trial](t)(stat.SampleSize(c.from, c.to, 0.05, 0.80)); got.PartsEach != c.want {
				t.Errorf("%d parts, want %d", got.PartsEach, c.want)
			}
			if back := ok[stat.Trial](t)(stat.SampleSize(c.to, c.from, 0.05, 0.80)); back.PartsEach != c.want {
				t.Errorf("%d parts the other way round, want %d", back.PartsEach, c.want)
			}
		})
	}
}

// Departments of one kind only say nothing, and a cell that is empty throughout leaves no
// interval.
func TestStrataThatSayNothing(t *testing.T) {
	useful := stat.Stratum{Name: "iron", Pair: stat.Cells(5, 10, 3, 12)}
	alone := ok[stat.Pooled](t)(stat.MantelHaenszel([]stat.Stratum{useful}, 0.95))
	padded := ok[stat.Pooled](t)(stat.MantelHaenszel([]stat.Stratum{
		useful, {Name: "one group", Pair: stat.Cells(3, 4, 0, 0)}, {Name: "no defect", Pair: stat.Cells(0, 4, 0, 9)},
	}, 0.95))
	if alone.OddsRatio != padded.OddsRatio || alone.Test.Statistic != padded.Test.Statistic {
		t.Errorf("empty strata move the result from %v to %v", alone.OddsRatio, padded.OddsRatio)
	}
	if len(padded.Guards) != 2 {
		t.Errorf("guards are %q, want one for each empty stratum", padded.Guards)
	}
	open := ok[stat.Pooled](t)(stat.MantelHaenszel([]stat.Stratum{{Pair: stat.Cells(5, 10, 0, 12)}, {Pair: stat.Cells(2, 10, 0, 7)}}, 0.95))
	if !math.IsInf(open.OddsRatio.Value, 1) || open.OddsRatio.Low != 0 || !math.IsInf(open.OddsRatio.High, 1) || len(open.Guards) != 1 {
		t.Errorf("pooled is %v with guards %q, want an open interval and one guard", open.OddsRatio, open.Guards)
	}
}

// Beside a group as it is so many parts, and hardly fewer, show four times in
// five: by the exact test of every count that may come.
func TestSampleSizeBeside(t *testing.T) {
	power := func(n int, to float64, other stat.Sample, alpha float64) (sum float64) {
		for k := range n + 1 {
			p := stat.Pair{First: stat.Sample{Defects: k, Parts: n}, Second: other}
			if (p.First.Rate() > other.Rate()) == (to > other.Rate()) && ok[stat.Fisher](t)(stat.FisherExact(p)).TwoSided <= alpha {
				sum += distuv.Binomial{N: float64(n), P: to}.Prob(float64(k))
			}
		}
		return sum
	}
	for _, c := range []struct {
		defects, parts int
		to             float64
	}{{0, 88, 0.25}, {6, 300, 0.4}, {3, 1000, 0.03}, {200, 1000, 0.28}, {60, 120, 0.2}, {100, 5000, 0.05}} {
		for _, alpha := range []float64{0.05, 0.001} {
			other := stat.Sample{Defects: c.defects, Parts: c.parts}
			got := ok[stat.Trial](t)(stat.SampleSizeBeside(other, (float64(c.defects)+0.5)/float64(c.parts+1), c.to, alpha, 0.80)).PartsEach
			enough, fewer := power(got, c.to, other, alpha), power(got*3/4, c.to, other, alpha)
			if enough < 0.76 || fewer > 0.80 {
				t.Errorf("%v beside %v at %v: %d parts show %.3f of the time, and three in four of them %.3f", c.to, other, alpha, got, enough, fewer)
			}
		}
	}
	each := ok[stat.Trial](t)(stat.SampleSize(0.1, 0.2, 0.05, 0.80)).PartsEach
	if got := ok[stat.Trial](t)(stat.SampleSizeBeside(stat.Sample{Defects: 1, Parts: 10}, 0.1, 0.2, 0.05, 0.80)).PartsEach; got != each {
		t.Errorf("beside 10 parts %d are needed, want %d of each", got, each)
	}
	if _, err := stat.SampleSizeBeside(stat.Sample{Defects: 1, Parts: 10}, 0.1, 0.1, 0.05, 0.8); !errors.Is(err, stat.ErrSame) {
		t.Errorf("two rates alike: %v", err)
	}
}
