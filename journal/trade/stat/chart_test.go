package stat_test

import (
	"math"
	"slices"
	"testing"

	"fettlebook/journal/trade/stat"
)

// An invented baseline of good parts between defects, then three short gaps. Formulas:
// Kaminsky et al. 1992, Benneyan 2001; figures recomputed.
func TestGChart(t *testing.T) {
	gaps := []int{23, 41, 7, 30, 55, 12, 18, 64, 9, 26, 3, 1, 2}
	chart := ok[stat.Gaps](t)(stat.GChart(gaps, 10, 11, 12))
	near(t, "centre", chart.Centre, 28.5, 9)
	near(t, "high", chart.Points[0].High, 115.487, 3)
	near(t, "median", chart.Median, 19.10, 2)
	near(t, "probability limit", chart.UpperByChance, 190.6, 1)
	if chart.Run.Length != 3 || chart.Run.AtMost != 3 {
		t.Errorf("run rule is %+v, want three in a row of at most 3", chart.Run)
	}
	near(t, "chance of one", chart.Run.Each, 0.1289, 4)
	near(t, "chance of the run", chart.Run.Chance, 0.00214, 5)
	want := []stat.Rule{stat.ShortRun}
	var rules []stat.Rule
	for _, signal := range chart.Signals {
		rules = append(rules, signal.Rule)
	}
	if !slices.Equal(rules, want) || !slices.Equal(chart.Out(), []int{12}) {
		t.Errorf("signals %q at %v, want %q at 12", rules, chart.Out(), want)
	}
	for _, point := range chart.Points {
		if point.Low != 0 {
			t.Errorf("lower limit is %v, want 0", point.Low)
		}
	}
}

func TestGChartRunIsBrokenByALongerGap(t *testing.T) {
	gaps := []int{23, 41, 7, 30, 55, 12, 18, 64, 9, 26, 3, 1, 4, 2, 0, 20, 3}
	chart := ok[stat.Gaps](t)(stat.GChart(gaps, 10, 11, 12, 13, 14, 15, 16))
	if len(chart.Signals) != 0 {
		t.Errorf("signals are %+v, want none: no three gaps of at most 3 stand in a row", chart.Signals)
	}
}

// A gap beyond the limit is good news, and the chart tells how likely it is.
func TestGChartLongGap(t *testing.T) {
	gaps := []int{23, 41, 7, 30, 55, 12, 18, 64, 9, 26, 150}
	chart := ok[stat.Gaps](t)(stat.GChart(gaps, 10))
	if len(chart.Signals) != 1 || chart.Signals[0].Rule != stat.AboveLimit {
		t.Fatalf("signals are %+v, want one above the limit", chart.Signals)
	}
	near(t, "chance", chart.Signals[0].Chance, math.Pow(28.5/29.5, 150), 12)
}

func TestGChartOfACommonDefectHasNoRunRule(t *testing.T) {
	chart := ok[stat.Gaps](t)(stat.GChart([]int{1, 0, 0, 1, 0, 0, 0, 1}))
	if chart.Run.AtMost >= 0 || slices.ContainsFunc(chart.Signals, func(s stat.Signal) bool { return s.Rule == stat.ShortRun }) {
		t.Errorf("run rule is %+v with signals %+v, want none", chart.Run, chart.Signals)
	}
}

// Hours between valve failures (Montgomery, from memory, not verified); limits recomputed.
// Printed limits rest on 3/1.128 rounded to 2.66, so ours agree to two decimals only.
func TestTChart(t *testing.T) {
	hours := []float64{286, 948, 536, 124, 816, 729, 4, 143, 431, 8, 2837, 596, 81, 227, 603, 492, 1199, 1214, 2831, 96}
	transformed := []float64{4.81, 6.71, 5.73, 3.82, 6.44, 6.24, 1.47, 3.97, 5.39, 1.78, 9.10, 5.90, 3.39, 4.51, 5.92, 5.59, 7.17, 7.19, 9.10, 3.55}
	chart := ok[stat.Times](t)(stat.TChart(hours))
	inner := chart.Transformed.Individuals
	near(t, "mean", inner.Centre, 5.3893, 4)
	near(t, "mean range", chart.Transformed.MovingRanges.Centre, 2.3609, 4)
	near(t, "low", inner.Points[0].Low, -0.89, 2)
	near(t, "high", inner.Points[0].High, 11.67, 2)
	near(t, "low as printed", inner.Centre-2.66*chart.Transformed.MovingRanges.Centre, -0.891, 3)
	near(t, "high as printed", inner.Centre+2.66*chart.Transformed.MovingRanges.Centre, 11.669, 3)
	for i, x := range transformed {
		near(t, "transformed", inner.Points[i].Value, x, 2)
	}
	near(t, "mean time", chart.MeanTime, 710.05, 2)
	near(t, "probability low", chart.LowerByChance, 0.959, 3)
	near(t, "probability high", chart.UpperByChance, 4691.8, 1)
	near(t, "median", chart.Median, 492.2, 1)
	near(t, "low in hours", chart.Points[0].Low, 0.959, 3)
	near(t, "high in hours", math.Pow(chart.Points[0].High, 1/3.6), inner.Points[0].High, 9)
	if len(chart.Out()) != 0 {
		t.Errorf("out: %v, want none", chart.Out())
	}
}

// Limits by the formula ū ± 3√(ū/n), floor 0, with amounts that vary and may be fractions.
func TestUChart(t *testing.T) {
	inspected := []stat.Inspection{
		{Defects: 12, Units: 1.5}, {Defects: 30, Units: 4}, {Defects: 5, Units: 1}, {Defects: 14, Units: 2.5}, {Defects: 39, Units: 3},
	}
	chart := ok[stat.Chart](t)(stat.UChart(inspected))
	u := 100.0 / 12
	near(t, "centre", chart.Centre, u, 12)
	for i, point := range chart.Points {
		reach := 3 * math.Sqrt(u/inspected[i].Units)
		near(t, "low", point.Low, math.Max(0, u-reach), 12)
		near(t, "high", point.High, u+reach, 12)
	}
}

// Where few are expected the limits are exact: beyond each lies at most the chance beyond
// a three-sigma limit, and one count further in would be too much.
func TestExactLimits(t *testing.T) {
	tail := 0.0013499 // beyond three sigma on one side
	t.Run("binomial", func(t *testing.T) {
		samples := []stat.Sample{{Defects: 1, Parts: 20}, {Defects: 2, Parts: 20}, {Defects: 0, Parts: 20}, {Defects: 5, Parts: 20}}
		chart := ok[stat.Chart](t)(stat.PChart(samples))
		high := int(math.Round(chart.Points[0].High * 20))
		if above, atLeast := binomialTail(high+1, 20, 0.1), binomialTail(high, 20, 0.1); above > tail || atLeast <= tail {
			t.Errorf("limit %d leaves %v above and %v with it, want %v between", high, above, atLeast, tail)
		}
		if chart.Method != "p-chart with exact binomial limits" || len(chart.Guards) != 2 {
			t.Errorf("method %q with guards %q, want it to say so", chart.Method, chart.Guards)
		}
	})
	t.Run("nearly all", func(t *testing.T) {
		few := ok[stat.Chart](t)(stat.PChart([]stat.Sample{{Defects: 1, Parts: 20}, {Defects: 3, Parts: 20}}))
		most := ok[stat.Chart](t)(stat.PChart([]stat.Sample{{Defects: 19, Parts: 20}, {Defects: 17, Parts: 20}}))
		near(t, "low", most.Points[0].Low, 1-few.Points[0].High, 12)
		near(t, "high", most.Points[0].High, 1-few.Points[0].Low, 12)
	})
	t.Run("Poisson", func(t *testing.T) {
		chart := ok[stat.Chart](t)(stat.CChart([]int{2, 0, 1, 3, 0, 0, 2, 8}, 7))
		mean, at := 8.0/7, 1.0
		for k := 1; k <= 5; k++ {
			at += math.Pow(mean, float64(k)) / math.Gamma(float64(k)+1)
		}
		below5 := at - math.Pow(mean, 5)/120
		if 1-math.Exp(-mean)*at > tail || 1-math.Exp(-mean)*below5 <= tail {
			t.Fatal("the limit is not 5 for this mean: the test is wrong")
		}
		near(t, "high", chart.Points[0].High, 5, 12)
		if !slices.Equal(chart.Out(), []int{7}) {
			t.Errorf("out: %v, want 7", chart.Out())
		}
	})
}

func TestPChartMixesBothKindsOfLimits(t *testing.T) {
	chart := ok[stat.Chart](t)(stat.PChart([]stat.Sample{{Defects: 10, Parts: 100}, {Defects: 2, Parts: 20}}))
	near(t, "high of the large sample", chart.Points[0].High, 0.1+3*math.Sqrt(0.09/100), 12)
	if high := chart.Points[1].High * 20; math.Abs(high-math.Round(high)) > 1e-9 {
		t.Errorf("the small sample's limit is %v parts, want whole parts", high)
	}
}

func TestReadingsLeftOutDoNotMoveLimits(t *testing.T) {
	readings := []float64{80, 84, 79, 85, 82, 81}
	clean := ok[stat.Readings](t)(stat.IndividualsChart(readings))
	with := ok[stat.Readings](t)(stat.IndividualsChart(append(slices.Clone(readings), 200), 6))
	if clean.Individuals.Points[0] != with.Individuals.Points[0] || clean.Sigma != with.Sigma {
		t.Errorf("limits moved from %+v to %+v", clean.Individuals.Points[0], with.Individuals.Points[0])
	}
	if !slices.Equal(with.Individuals.Out(), []int{6}) || !slices.Equal(with.MovingRanges.Out(), []int{5}) {
		t.Errorf("out: %v and %v, want reading 6 and step 5", with.Individuals.Out(), with.MovingRanges.Out())
	}
}

// Quarterly counts suit p and u; a defect per month or rarer suits g, t or a running sum:
// shop default.
func TestChooseChart(t *testing.T) {
	for _, c := range []struct {
		watched stat.Watched
		rate    float64
		want    stat.Kind
	}{
		{stat.PartsJudged, 12, stat.P}, {stat.PartsJudged, 5, stat.P}, {stat.PartsJudged, 2, stat.P},
		{stat.PartsJudged, 1, stat.G}, {stat.PartsJudged, 0, stat.G},
		{stat.DefectsCounted, 16, stat.C}, {stat.DefectsPerArea, 16, stat.U}, {stat.DefectsPerArea, 0.5, stat.T},
		{stat.TimesOnly, 0.5, stat.T}, {stat.TimesOnly, 8, stat.C}, {stat.ReadingsTaken, 0, stat.Individuals},
	} {
		got := ok[stat.Choice](t)(stat.ChooseChart(c.watched, c.rate))
		if got.Kind != c.want || got.Say() == "" {
			t.Errorf("%d at %v: %s, want %s", c.watched, c.rate, got.Kind, c.want)
		}
	}
}
