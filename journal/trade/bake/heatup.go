package bake

import (
	"errors"
	"fmt"
	"math"

	"fettlebook/journal/words"
)

// Warmup is an earlier run of the same kind of part in the same oven, with a probe on the
// metal, from the closing of the door on. Leave out the cooling outside: air that does not
// blow has another time constant.
type Warmup struct {
	Name    string    // of the run
	Minutes []float64 // rising
	Metal   []float64 // °C, one for each time
	Air     []float64 // °C, one for each time, or a single one that held throughout
}

// HeatUp is how fast a kind of part warms up in an oven, learned from earlier runs.
type HeatUp struct {
	Tau      float64  `json:"tau"`      // min
	StdErr   float64  `json:"std_err"`  // min, of the fit
	Low      float64  `json:"low"`      // min, 95 % interval of the fit
	High     float64  `json:"high"`     // min
	NextLow  float64  `json:"next_low"` // min, where 95 % of next runs are expected; as the fit's with one run
	NextHigh float64  `json:"next_high"`
	Residual float64  `json:"residual"` // K, standard deviation of the readings about the fit
	Readings int      `json:"readings"`
	Runs     []RunTau `json:"runs"`
}

// RunTau is one run's own time constant.
type RunTau struct {
	Name string  `json:"name"`
	Tau  float64 `json:"tau"` // min
}

// ErrWarmup is behind every refusal of a run to learn from.
var ErrWarmup = errors.New("nothing can be learned from this warm-up")

// leastWarmup is the fewest readings of a run, and leastRise the least rise of its metal;
// both shop defaults.
const (
	leastWarmup = 5
	leastRise   = 20 // K
)

// LearnHeatUp fits one time constant to all runs by nonlinear least squares, with each
// run's starting temperature fitted alongside. Air is taken as straight between readings,
// for which the lumped model has an exact solution. The interval for the next run comes
// from how the runs' own constants differ (Student's t on their logarithms), and is never
// narrower than that of the fit; readings close in time make the fit's look too narrow.
func LearnHeatUp(runs ...Warmup) (HeatUp, error) {
	if len(runs) == 0 {
		return HeatUp{}, fmt.Errorf("%w: no run is given", ErrWarmup)
	}
	var h HeatUp
	var logs []float64
	for _, run := range runs {
		if err := run.check(); err != nil {
			return HeatUp{}, err
		}
		tau, err := fitTau(run)
		if err != nil {
			return HeatUp{}, err
		}
		h.Runs = append(h.Runs, RunTau{run.Name, tau})
		h.Readings += len(run.Metal)
		logs = append(logs, math.Log(tau))
	}
	var err error
	if h.Tau, err = fitTau(runs...); err != nil {
		return HeatUp{}, err
	}
	freedom := h.Readings - len(runs) - 1
	square := squares(h.Tau, runs...) / float64(freedom)
	h.Residual = math.Sqrt(square)
	h.StdErr = math.Sqrt(square / sensitivity(h.Tau, runs...))
	half := studentT975(freedom) * h.StdErr
	h.Low, h.High = max(h.Tau-half, 0), h.Tau+half
	h.NextLow, h.NextHigh = h.Low, h.High
	if n := float64(len(runs)); n > 1 {
		spread := math.Exp(studentT975(len(runs)-1) * deviation(logs) * math.Sqrt(1+1/n))
		h.NextLow, h.NextHigh = min(h.Low, h.Tau/spread), max(h.High, h.Tau*spread)
	}
	return h, nil
}

func (w Warmup) check() error {
	refuse := func(format string, args ...any) error {
		return fmt.Errorf("%w: run %s %s", ErrWarmup, w.Name, fmt.Sprintf(format, args...))
	}
	n := len(w.Minutes)
	switch {
	case n < leastWarmup:
		return refuse("has %s: at least %d are needed", words.Count(n, "reading"), leastWarmup)
	case len(w.Metal) != n || len(w.Air) != n && len(w.Air) != 1:
		return refuse("has %d times, %d metal and %d air readings: give one metal reading for each time, and as many of the air or one", n, len(w.Metal), len(w.Air))
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range n {
		for _, x := range []float64{w.Minutes[i], w.Metal[i], w.air(i)} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return refuse("has no number at reading %d: leave out times with a missing reading", i+1)
			}
		}
		if i > 0 && w.Minutes[i] <= w.Minutes[i-1] {
			return refuse("is out of order at reading %d: put the times in order, each once", i+1)
		}
		low, high = min(low, w.Metal[i]), max(high, w.Metal[i])
	}
	if high-low < leastRise {
		return refuse("warms by %.0f K only: at least %d K are needed", high-low, leastRise)
	}
	return nil
}

func (w Warmup) air(i int) float64 {
	if len(w.Air) == 1 {
		return w.Air[0]
	}
	return w.Air[i]
}

// Estimate is a time worked out from earlier runs. It is not a measurement, and nothing in
// this package makes a verdict of it.
type Estimate struct {
	Label   string  `json:"label"`   // always "estimate"
	Minutes float64 `json:"minutes"` // from the closing of the door
	Low     float64 `json:"low"`     // 95 % of runs are expected between
	High    float64 `json:"high"`
	Runs    int     `json:"runs"` // that it rests on
	Say     string  `json:"say"`  // one sentence
}

// TimeTo estimates when the metal reaches a temperature in °C. ErrNeverReached says that
// the air is not hotter.
func (h HeatUp) TimeTo(celsius, air, start float64) (Estimate, error) {
	return h.estimate(fmt.Sprintf("the metal reaches %g °C", celsius), air, start, func(part Heating) (float64, error) { return part.MinutesTo(celsius) })
}

// TimeToSchedule estimates when the schedule is met in total on the strict reading.
// ErrNeverReached says that the air is too cold.
func (h HeatUp) TimeToSchedule(s Schedule, rules Rules, air, start float64) (Estimate, error) {
	if err := rules.check(); err != nil {
		return Estimate{}, err
	}
	return h.estimate("the schedule "+s.String()+" is met", air, start, func(part Heating) (float64, error) { return part.MinutesToSchedule(s, rules) })
}

// estimate asks the same of the fitted time constant and of both ends of its range.
func (h HeatUp) estimate(what string, air, start float64, when func(Heating) (float64, error)) (Estimate, error) {
	var minutes [3]float64
	for i, tau := range []float64{h.Tau, h.NextLow, h.NextHigh} {
		var err error
		if minutes[i], err = when(Heating{Tau: max(tau, h.Tau/1e6), Air: air, Start: start}); err != nil {
			return Estimate{}, fmt.Errorf("estimate when %s: %w", what, err)
		}
	}
	e := Estimate{Label: "estimate", Minutes: minutes[0], Low: minutes[1], High: minutes[2], Runs: len(h.Runs)}
	e.Say = fmt.Sprintf("Estimate, not a measurement: %s after about %.0f min (%.0f to %.0f) in air of %g °C, from %d earlier runs.", what, e.Minutes, e.Low, e.High, air, e.Runs)
	if e.Runs == 1 {
		e.Say = fmt.Sprintf("Estimate, not a measurement: %s after about %.0f min in air of %g °C, from one earlier run, which does not show how much runs differ.", what, e.Minutes, air)
	}
	return e, nil
}
