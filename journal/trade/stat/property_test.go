package stat_test

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fettlebook/journal/trade/stat"
)

func drawSample(t *rapid.T, name string, most int) stat.Sample {
	parts := rapid.IntRange(1, most).Draw(t, name+" parts")
	return stat.Sample{Defects: rapid.IntRange(0, parts).Draw(t, name+" defects"), Parts: parts}
}

// drawPair makes a table with parts of both groups, with and without the defect.
func drawPair(t *rapid.T) stat.Pair {
	return rapid.Custom(func(t *rapid.T) stat.Pair {
		return stat.Pair{First: drawSample(t, "first", 200), Second: drawSample(t, "second", 200)}
	}).Filter(func(p stat.Pair) bool {
		defects, parts := p.First.Defects+p.Second.Defects, p.First.Parts+p.Second.Parts
		return defects > 0 && defects < parts
	}).Draw(t, "pair")
}

func must[T any](t *rapid.T) func(T, error) T {
	return func(value T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return value
	}
}

func exactInterval(s stat.Sample, level float64) (stat.Proportion, error) {
	return stat.ClopperPearson(s, level, stat.BothSides)
}

func TestProportionProperties(t *testing.T) {
	for _, method := range []struct {
		name    string
		compute func(stat.Sample, float64) (stat.Proportion, error)
	}{{"Wilson", stat.Wilson}, {"exact", exactInterval}} {
		t.Run(method.name, rapid.MakeCheck(func(t *rapid.T) {
			s := drawSample(t, "sample", 100_000)
			level := rapid.Float64Range(0.5, 0.999).Draw(t, "level")
			rate := must[stat.Proportion](t)(method.compute(s, level)).Rate
			if !(0 <= rate.Low && rate.High <= 1 && rate.Contains(s.Rate())) {
				t.Fatalf("%v leaves out %v or is not a share", rate, s.Rate())
			}
			mirrored := must[stat.Proportion](t)(method.compute(stat.Sample{Defects: s.Parts - s.Defects, Parts: s.Parts}, level)).Rate
			if math.Abs(rate.Low-(1-mirrored.High)) > 1e-9 || math.Abs(rate.High-(1-mirrored.Low)) > 1e-9 {
				t.Fatalf("%v is not the mirror of %v", rate, mirrored)
			}
			doubled := must[stat.Proportion](t)(method.compute(stat.Sample{Defects: 2 * s.Defects, Parts: 2 * s.Parts}, level)).Rate
			if doubled.High-doubled.Low >= rate.High-rate.Low {
				t.Fatalf("twice the parts widen %v to %v", rate, doubled)
			}
			surer := must[stat.Proportion](t)(method.compute(s, (1+level)/2)).Rate
			if surer.Low > rate.Low || surer.High < rate.High {
				t.Fatalf("more confidence narrows %v to %v", rate, surer)
			}
		}))
	}
}

func TestComparisonProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPair(t)
		c := must[stat.Comparison](t)(stat.Compare(p, 0.95))
		swapped := must[stat.Comparison](t)(stat.Compare(stat.Pair{First: p.Second, Second: p.First}, 0.95))
		for _, effect := range []stat.Effect{c.Difference, c.RiskRatio, c.OddsRatio, c.Exact} {
			if !effect.Size.Contains(effect.Size.Value) {
				t.Fatalf("%s: %v leaves out its own estimate", effect.Method, effect.Size)
			}
		}
		if d, e := c.Difference.Size, swapped.Difference.Size; math.Abs(d.Low+e.High) > 1e-12 || math.Abs(d.High+e.Low) > 1e-12 {
			t.Fatalf("difference %v is not the mirror of %v", d, e)
		}
		for _, pair := range [][2]stat.Interval{
			{c.RiskRatio.Size, swapped.RiskRatio.Size}, {c.OddsRatio.Size, swapped.OddsRatio.Size}, {c.Exact.Size, swapped.Exact.Size},
		} {
			if !alike(pair[0].Low, 1/pair[1].High) || !alike(pair[0].Value, 1/pair[1].Value) || !alike(pair[0].High, 1/pair[1].Low) {
				t.Fatalf("ratio %v is not the inverse of %v", pair[0], pair[1])
			}
		}
	})
}

// alike compares two ratios, which may be 0 or without end.
func alike(a, b float64) bool { return a == b || math.Abs(a/b-1) < 1e-9 }

func TestTransposedTableIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPair(t)
		a, b := p.First.Defects, p.First.Parts-p.First.Defects
		c, d := p.Second.Defects, p.Second.Parts-p.Second.Defects
		q := stat.Cells(a, c, b, d)
		one, two := must[stat.Fisher](t)(stat.FisherExact(p)), must[stat.Fisher](t)(stat.FisherExact(q))
		if !alike(one.TwoSided, two.TwoSided) || !alike(one.Less, two.Less) || !alike(one.Greater, two.Greater) {
			t.Fatalf("%+v, transposed %+v", one, two)
		}
		x, y := must[stat.Effect](t)(stat.ConditionalOddsRatio(p, 0.9)).Size, must[stat.Effect](t)(stat.ConditionalOddsRatio(q, 0.9)).Size
		if !alike(x.Value, y.Value) || !alike(x.Low, y.Low) || !alike(x.High, y.High) {
			t.Fatalf("%+v, transposed %+v", x, y)
		}
		u, v := must[stat.ChiSquare](t)(stat.ChiSquared(p)).Statistic, must[stat.ChiSquare](t)(stat.ChiSquared(q)).Statistic
		if math.Abs(u-v) > 1e-9*(1+u) {
			t.Fatalf("chi-squared %v, transposed %v", u, v)
		}
	})
}

func TestFisherProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := must[stat.Fisher](t)(stat.FisherExact(drawPair(t)))
		for _, p := range []float64{f.TwoSided, f.Less, f.Greater} {
			if !(p > 0 && p <= 1) {
				t.Fatalf("%+v: a p value is not a chance", f)
			}
		}
		if f.TwoSided < min(f.Less, f.Greater)*(1-1e-9) {
			t.Fatalf("%+v: two-sided p is below the one-sided", f)
		}
		if f.Less+f.Greater < 1 {
			t.Fatalf("%+v: the tails must overlap in the table seen", f)
		}
	})
}

func TestSearchProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 40).Draw(t, "p")
		tested := len(ps) + rapid.IntRange(0, 20).Draw(t, "unlisted")
		var causes []stat.Cause
		for _, p := range ps {
			causes = append(causes, stat.Cause{P: p})
		}
		search := must[stat.Search](t)(stat.BenjaminiHochberg(causes, tested, 0.1))
		if !slices.IsSortedFunc(search.Findings, func(a, b stat.Finding) int { return cmp.Compare(a.Adjusted, b.Adjusted) }) {
			t.Fatalf("adjusted p falls: %+v", search.Findings)
		}
		for i, f := range search.Findings {
			if f.Adjusted < f.P || f.Adjusted > 1 {
				t.Fatalf("adjusted p of %+v is out of place", f)
			}
			if f.Kept != (i < len(search.Kept())) {
				t.Fatalf("those kept are not the first ones: %+v", search.Findings)
			}
		}
	})
}

// No point that lies between its limits is out, and every other is.
func TestChartProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		samples := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) stat.Sample { return drawSample(t, "sample", 80) }), 2, 30).
			Filter(func(samples []stat.Sample) bool {
				return slices.ContainsFunc(samples, func(s stat.Sample) bool { return s.Defects > 0 })
			}).Draw(t, "samples")
		chart := must[stat.Chart](t)(stat.PChart(samples))
		out := chart.Out()
		for i, point := range chart.Points {
			inside := point.Low <= point.Value && point.Value <= point.High
			if inside && slices.Contains(out, i) || !inside && !slices.Contains(out, i) && point.Value-point.High > 1e-8 {
				t.Fatalf("point %d %+v, out %v", i, point, out)
			}
			if point.Low > chart.Centre || point.High < chart.Centre-1/float64(samples[i].Parts) {
				t.Fatalf("limits %+v lie beside the centre %v", point, chart.Centre)
			}
		}
	})
}

func TestCUSUMProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scheme := stat.CUSUM{Reference: rapid.IntRange(2, 60).Draw(t, "reference"), Alarm: rapid.IntRange(1, 300).Draw(t, "alarm")}
		rate := rapid.Float64Range(0.001, 0.9).Draw(t, "rate")
		parts := must[float64](t)(scheme.PartsToSignal(rate))
		if !(parts >= 1/rate-1e-9) {
			t.Fatalf("%v parts, fewer than one defect needs", parts)
		}
		if worse := must[float64](t)(scheme.PartsToSignal(rate + 0.05)); !(worse < parts) && !math.IsInf(parts, 1) {
			t.Fatalf("a worse rate takes %v parts, not fewer than %v", worse, parts)
		}
		scheme.Alarm++
		if later := must[float64](t)(scheme.PartsToSignal(rate)); later < parts*(1-1e-12) {
			t.Fatalf("a higher alarm comes after %v parts, before %v", later, parts)
		}
	})
}
