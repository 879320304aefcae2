package bake

import (
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/words"
)

// HeatLimit is how long a casting may be above a temperature over its whole life, since
// heat softens a tempered alloy and does not come back out.
type HeatLimit struct {
	Above   Limit `json:"above"`   // °C
	Minutes Limit `json:"minutes"` // over all runs together
}

// DefaultHeatLimit returns the limit for aluminium.
func DefaultHeatLimit() HeatLimit {
	return HeatLimit{Above: Limit{150, "°C", sheet.ShopDefault}, Minutes: Limit{120, "min", sheet.ShopDefault}}
}

// HeatRun is how long a casting was above the limit's temperature in one run.
type HeatRun struct {
	Run     string  `json:"run"`
	Minutes float64 `json:"minutes"`
}

// HeatDose is the heat of all runs that a casting has been through.
type HeatDose struct {
	Limit   HeatLimit `json:"limit"`
	Runs    []HeatRun `json:"runs"`
	Minutes float64   `json:"minutes"` // together
	Over    bool      `json:"over"`    // more than the limit
	Say     string    `json:"say"`     // one sentence
}

// SumHeat adds up runs whose minutes are known, as from Channel.HeatMinutes.
func SumHeat(limit HeatLimit, runs ...HeatRun) HeatDose {
	d := HeatDose{Limit: limit, Runs: slices.Clone(runs)}
	for _, r := range runs {
		d.Minutes += r.Minutes
	}
	d.Over = d.Minutes > limit.Minutes.Value*(1+rounding)
	d.Say = fmt.Sprintf("%.1f min above %g %s over %s, within %s.", d.Minutes, limit.Above.Value, limit.Above.Unit, words.Count(len(runs), "run"), limit.Minutes)
	if d.Over {
		d.Say = fmt.Sprintf("%.1f min above %g %s over %s, more than %s: the alloy may have lost strength, so ask before the casting is used again.",
			d.Minutes, limit.Above.Value, limit.Above.Unit, words.Count(len(runs), "run"), limit.Minutes)
	}
	return d
}

// MinutesAbove reads a trace once and returns how long each channel was above a
// temperature in °C, in the order of the channels. Stretches without readings count on the
// straight line between their ends. Errors are those of the trace.
func MinutesAbove(t Trace, celsius float64) ([]float64, error) {
	channels := len(t.Channels())
	minutes, before, since := make([]float64, channels), make([]float64, channels), make([]float64, channels)
	for i := range before {
		before[i] = math.NaN()
	}
	for sample, err := range t.Samples() {
		if err != nil {
			return nil, fmt.Errorf("add up heat: %w", err)
		}
		for i, c := range sample.Celsius {
			if math.IsNaN(c) {
				continue
			}
			if !math.IsNaN(before[i]) {
				minutes[i] += secondsAbove(celsius, before[i], c, sample.Second-since[i]) / 60
			}
			before[i], since[i] = c, sample.Second
		}
	}
	return minutes, nil
}
