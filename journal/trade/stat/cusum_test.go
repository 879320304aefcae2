package stat_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fettlebook/journal/trade/stat"
)

// Formula: Reynolds and Stoumbos 1999, as quoted by Ross, Tasoulis and Adams, arXiv
// 1212.6020; figures recomputed.
func TestReferenceValue(t *testing.T) {
	for _, c := range []struct{ usual, worse, want float64 }{
		{0.01, 0.02, 0.014435}, {0.02, 0.06, 0.036546}, {0.05, 0.10, 0.072358}, {0.05, 0.15, 0.091934},
	} {
		near(t, fmt.Sprint(c.usual, c.worse), ok[float64](t)(stat.ReferenceValue(c.usual, c.worse)), c.want, 6)
	}
}

// Recomputed from the Markov chain; a simulation of the first row gave 2006.7 and 111.9.
func TestPartsToSignal(t *testing.T) {
	scheme := stat.CUSUM{Reference: 28, Alarm: 84}
	worse := ok[float64](t)(scheme.WorseRate(0.02))
	near(t, "worse rate", worse, 0.05773, 5)
	for _, c := range []struct {
		alarm                 int
		usual, worse, tenfold float64
	}{
		{84, 1981.7, 112.3, 47.2}, {56, 584.8, 71.2, 33.0}, {70, 1035.5, 89.5, 38.7},
	} {
		scheme := stat.CUSUM{Reference: 28, Alarm: c.alarm}
		near(t, "at the usual rate", ok[float64](t)(scheme.PartsToSignal(0.02)), c.usual, 1)
		near(t, "at the worse rate", ok[float64](t)(scheme.PartsToSignal(worse)), c.worse, 1)
		near(t, "at one in ten", ok[float64](t)(scheme.PartsToSignal(0.10)), c.tenfold, 1)
	}
}

// The same mean by solving the whole chain as linear equations.
func TestPartsToSignalAgainstLinearEquations(t *testing.T) {
	for _, c := range []struct {
		scheme stat.CUSUM
		rate   float64
	}{
		{stat.CUSUM{Reference: 28, Alarm: 84}, 0.02}, {stat.CUSUM{Reference: 2, Alarm: 9}, 0.3},
		{stat.CUSUM{Reference: 5, Alarm: 1}, 0.1}, {stat.CUSUM{Reference: 5, Alarm: 5}, 0.1},
		{stat.CUSUM{Reference: 40, Alarm: 210}, 0.05}, {stat.CUSUM{Reference: 100, Alarm: 250}, 0.004},
	} {
		h := c.scheme.Alarm
		chain, ones := mat.NewDense(h, h, nil), mat.NewVecDense(h, nil)
		for s := range h {
			ones.SetVec(s, 1)
			chain.Set(s, s, chain.At(s, s)+1)
			down := max(0, s-1)
			chain.Set(s, down, chain.At(s, down)-(1-c.rate))
			if up := s + c.scheme.Reference - 1; up < h {
				chain.Set(s, up, chain.At(s, up)-c.rate)
			}
		}
		var mean mat.VecDense
		if err := mean.SolveVec(chain, ones); err != nil {
			t.Fatal(err)
		}
		if got := ok[float64](t)(c.scheme.PartsToSignal(c.rate)); math.Abs(got/mean.AtVec(0)-1) > 1e-9 {
			t.Errorf("%+v at %v: %v parts, want %v", c.scheme, c.rate, got, mean.AtVec(0))
		}
	}
}

// What Watch does on average is what PartsToSignal says.
func TestWatchKeepsToPartsToSignal(t *testing.T) {
	scheme := stat.CUSUM{Reference: 10, Alarm: 25}
	random := rand.New(rand.NewPCG(1, 2))
	parts := make([]bool, 400_000)
	for i := range parts {
		parts[i] = random.Float64() < 0.08
	}
	alarms := len(ok[stat.Chart](t)(scheme.Watch(parts)).Out())
	want := float64(len(parts)) / ok[float64](t)(scheme.PartsToSignal(0.08))
	if math.Abs(float64(alarms)/want-1) > 0.05 {
		t.Errorf("%d alarms, want about %v", alarms, want)
	}
}

func TestWatch(t *testing.T) {
	scheme := stat.CUSUM{Reference: 4, Alarm: 6}
	chart := ok[stat.Chart](t)(scheme.Watch([]bool{false, true, false, true, false, true, true, false}))
	var sums []float64
	for _, point := range chart.Points {
		sums = append(sums, point.Value)
	}
	if want := []float64{0, 3, 2, 5, 4, 7, 3, 2}; !slices.Equal(sums, want) {
		t.Errorf("sums %v, want %v", sums, want)
	}
	if !slices.Equal(chart.Out(), []int{5}) {
		t.Errorf("alarms at %v, want 5", chart.Out())
	}
	exactly := ok[stat.Chart](t)(scheme.Watch([]bool{true, true}))
	if !slices.Equal(exactly.Out(), []int{1}) {
		t.Errorf("alarms at %v, want one when the sum is exactly %d", exactly.Out(), scheme.Alarm)
	}
}

func TestNewCUSUMIsTheSmallestThatIsQuietEnough(t *testing.T) {
	scheme := ok[stat.CUSUM](t)(stat.NewCUSUM(0.02, 0.05773, 1000))
	if scheme.Reference != 28 {
		t.Errorf("reference %d, want 28", scheme.Reference)
	}
	quiet := ok[float64](t)(scheme.PartsToSignal(0.02))
	scheme.Alarm--
	if louder := ok[float64](t)(scheme.PartsToSignal(0.02)); quiet < 1000 || louder >= 1000 {
		t.Errorf("alarm %d gives %v parts and one less %v, want 1000 between", scheme.Alarm+1, quiet, louder)
	}
}
