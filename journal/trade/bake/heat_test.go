package bake_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fettlebook/journal/trade/bake"
)

// warmup makes a run of a known time constant by many small Euler steps, with readings
// each minute that scatter by a known amount.
func warmup(name string, tau, scatter float64, air func(minute float64) float64, random *rand.Rand) bake.Warmup {
	const steps = 2000 // per minute
	w := bake.Warmup{Name: name}
	metal := 20.0
	for minute := range 41 {
		now := float64(minute)
		w.Minutes = append(w.Minutes, now)
		w.Metal = append(w.Metal, metal+scatter*random.NormFloat64())
		w.Air = append(w.Air, air(now))
		for i := range steps {
			metal += (air(now+float64(i)/steps) - metal) / tau / steps
		}
	}
	return w
}

func constant(float64) float64 { return 200 }

// rising is an oven that heats up with the part and dips when a door is opened.
func rising(minute float64) float64 {
	return min(60+14*minute, 200) - max(0, 30-10*math.Abs(minute-25))
}

func TestLearnsTheTimeConstant(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, tau := range []float64{1.2, 5, 11.5, 15, 40} {
		for name, air := range map[string]func(float64) float64{"constant": constant, "rising": rising} {
			h, err := bake.LearnHeatUp(warmup(name, tau, 0, air, random))
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(h.Tau/tau-1) > 2e-3 {
				t.Errorf("%s air: got %v, want %v", name, h.Tau, tau)
			}
		}
	}
	exact := bake.Warmup{Name: "exact", Air: []float64{200}}
	for minute := range 30 {
		exact.Minutes = append(exact.Minutes, float64(minute))
		exact.Metal = append(exact.Metal, bake.Heating{Tau: 11.5, Air: 200, Start: 20}.At(float64(minute)))
	}
	if h, err := bake.LearnHeatUp(exact); err != nil || math.Abs(h.Tau/11.5-1) > 1e-6 {
		t.Errorf("exact readings give %v, %v", h.Tau, err)
	}
}

// Of many fits to scattered readings, about 95 % of intervals hold the truth, and the
// standard error is what the fits really scatter by.
func TestIntervalHoldsTheTruth(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	clean := warmup("clean", 11.5, 0, rising, random)
	const trials = 400
	held, stated := 0, 0.0
	var taus []float64
	for range trials {
		run := clean
		run.Metal = nil
		for _, c := range clean.Metal {
			run.Metal = append(run.Metal, c+1.5*random.NormFloat64())
		}
		h, err := bake.LearnHeatUp(run)
		if err != nil {
			t.Fatal(err)
		}
		if h.Low <= 11.5 && 11.5 <= h.High {
			held++
		}
		stated += h.StdErr / trials
		taus = append(taus, h.Tau)
	}
	var mean, square float64
	for _, tau := range taus {
		mean += tau / trials
	}
	for _, tau := range taus {
		square += (tau - mean) * (tau - mean) / (trials - 1)
	}
	// 400 trials: 95 % ± 4 standard deviations, and 15 % of the scatter.
	if held < 362 || held > 397 {
		t.Errorf("%d of %d intervals hold the truth", held, trials)
	}
	if real := math.Sqrt(square); math.Abs(stated/real-1) > 0.15 {
		t.Errorf("the standard error is said to be %v and is %v", stated, real)
	}
}

func TestNextRunIsLessCertain(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	var runs []bake.Warmup
	for i, tau := range []float64{10, 11, 12, 13} {
		runs = append(runs, warmup(fmt.Sprint(i), tau, 0.5, rising, random))
	}
	h, err := bake.LearnHeatUp(runs...)
	if err != nil {
		t.Fatal(err)
	}
	// Logarithms of 10, 11, 12, 13 have a standard deviation of 0.1129; t of 3 is 3.182.
	if want := math.Exp(3.182 * 0.1129 * math.Sqrt(1.25)); math.Abs(h.NextHigh/h.Tau/want-1) > 0.03 {
		t.Errorf("the next run is up to %v times as slow, want %v", h.NextHigh/h.Tau, want)
	}
	if h.NextLow >= h.Low || h.NextHigh <= h.High || len(h.Runs) != 4 || h.Readings != 164 {
		t.Errorf("got %+v", h)
	}
	s, rules := schedule(t, scheduleA), bake.DefaultRules()
	e, err := h.TimeToSchedule(s, rules, 200, 20)
	if err != nil {
		t.Fatal(err)
	}
	if e.Label != "estimate" || !(e.Low < e.Minutes && e.Minutes < e.High) || e.Runs != 4 || !strings.HasPrefix(e.Say, "Estimate, not a measurement") || strings.Contains(e.Say, "cured") {
		t.Errorf("got %+v", e)
	}
	if got := (bake.Heating{Tau: h.Tau, Air: 200, Start: 20}).Fraction(s, rules, e.Minutes); math.Abs(got-1) > 1e-9 {
		t.Errorf("the fraction is %v when it is said to be 1", got)
	}
	to, err := h.TimeTo(180, 200, 20)
	if want := h.Tau * math.Log(9); err != nil || math.Abs(to.Minutes-want) > 1e-9 {
		t.Errorf("180 °C after %v min, want %v; %v", to.Minutes, want, err)
	}
	if _, err := h.TimeTo(200, 200, 20); !errors.Is(err, bake.ErrNeverReached) {
		t.Errorf("got %v", err)
	}
	if _, err := h.TimeToSchedule(s, rules, 180, 20); !errors.Is(err, bake.ErrNeverReached) {
		t.Errorf("got %v", err)
	}
	rules.Jump.Value = -1
	if _, err := h.TimeToSchedule(s, rules, 200, 20); !errors.Is(err, bake.ErrRules) {
		t.Errorf("got %v", err)
	}
}

func TestStudentThroughTwoRuns(t *testing.T) {
	for _, row := range table(t, "student.csv") {
		near(t, "t of "+row["freedom"], bake.StudentT975(int(number(t, row["freedom"]))), row["97.5 %"])
	}
}

// The fraction of the lumped model against a trace of it, read by Judge.
func TestHeatingAgreesWithATrace(t *testing.T) {
	s, rules := schedule(t, scheduleA), bake.DefaultRules()
	for _, h := range []bake.Heating{{11.5, 200, 20}, {5, 230, 20}, {1.2, 205, 190}} {
		var trace samples
		for second := 0.0; second <= 3600; second += 0.5 {
			trace = append(trace, bake.Sample{Second: second, Celsius: []float64{h.At(second / 60)}})
		}
		got, want := h.Fraction(s, rules, 60), judge(t, trace, s, rules).Channels[0].Strict
		if math.Abs(got/want-1) > 1e-5 {
			t.Errorf("%+v: %v, and from a trace %v", h, got, want)
		}
	}
}

// Nonsense has to come to an end, too.
func TestHeatingOfNonsense(t *testing.T) {
	s, rules, nan := schedule(t, scheduleA), bake.DefaultRules(), math.NaN()
	for _, h := range []bake.Heating{{}, {nan, 200, 20}, {-5, 200, 20}, {10, nan, 20}, {10, 200, nan}, {math.Inf(1), 200, 190}, {10, 20, 200}} {
		if sum := h.Fraction(s, rules, 0); sum != 0 {
			t.Errorf("%+v has %v of the schedule at once", h, sum)
		}
		h.Fraction(s, rules, nan)
		if minutes, err := h.MinutesToSchedule(s, rules); err == nil && minutes < 1 {
			t.Errorf("%+v meets the schedule in %v min", h, minutes)
		}
	}
}

func TestWarmupsThatTeachNothing(t *testing.T) {
	good := warmup("good", 10, 0, constant, rand.New(rand.NewPCG(7, 8)))
	for name, change := range map[string]func(*bake.Warmup){
		"readings: at least": func(w *bake.Warmup) { w.Minutes, w.Metal, w.Air = w.Minutes[:4], w.Metal[:4], w.Air[:4] },
		"one metal reading":  func(w *bake.Warmup) { w.Metal = w.Metal[1:] },
		"as many of the air": func(w *bake.Warmup) { w.Air = w.Air[:3] },
		"no number":          func(w *bake.Warmup) { w.Metal[7] = math.NaN() },
		"out of order":       func(w *bake.Warmup) { w.Minutes[7] = 2 },
		"K only":             func(w *bake.Warmup) { w.Minutes, w.Metal, w.Air = w.Minutes[35:], w.Metal[35:], w.Air[35:] },
		"does not warm up":   func(w *bake.Warmup) { w.Metal, w.Air = w.Air, w.Metal; w.Metal[0] = 100 },
	} {
		w := good
		w.Minutes, w.Metal, w.Air = append([]float64{}, good.Minutes...), append([]float64{}, good.Metal...), append([]float64{}, good.Air...)
		change(&w)
		if _, err := bake.LearnHeatUp(w); !errors.Is(err, bake.ErrWarmup) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if _, err := bake.LearnHeatUp(); !errors.Is(err, bake.ErrWarmup) {
		t.Errorf("got %v", err)
	}
}

func TestHeatDose(t *testing.T) {
	minutes, err := bake.MinutesAbove(memory(t, "0:20 10:150 20:250 50:250 60:50", bake.Celsius), 150)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "above 150 °C", minutes[0], "45.000000") // 10 rising, 30 flat, 5 of the 10 falling
	limit := bake.DefaultHeatLimit()
	d := bake.SumHeat(limit, bake.HeatRun{Run: "soak", Minutes: 75}, bake.HeatRun{Run: "bake", Minutes: minutes[0]})
	if d.Minutes != 120 || d.Over || !strings.Contains(d.Say, "120.0 min above 150 °C over 2 runs, within 120 min (shop default)") {
		t.Errorf("got %+v", d)
	}
	d = bake.SumHeat(limit, append(d.Runs, bake.HeatRun{Run: "second bake", Minutes: 0.5})...)
	if d.Minutes != 120.5 || !d.Over || len(d.Runs) != 3 || !strings.Contains(d.Say, "more than 120 min") {
		t.Errorf("got %+v", d)
	}
}
