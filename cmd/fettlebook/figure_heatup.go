package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// estimate works out from earlier runs how long the next bake may take.
func (b *bakery) estimate(ctx context.Context, in *intake, c *figureBake) (s sheet.Sheet, err error) {
	oven := quantity(in, "oven", c.Oven, unit.Celsius, 1).In(unit.Celsius)
	start := quantity(in, "start", c.Start, unit.Celsius, 1).In(unit.Celsius)
	in.typed("air", c.Air)
	var runs []bake.Warmup
	for _, file := range c.Like {
		run, err := b.warmup(ctx, file, c.Air, oven)
		if err != nil {
			return s, err
		}
		runs = append(runs, run)
	}
	learned, err := bake.LearnHeatUp(runs...)
	if err != nil {
		return s, err
	}
	forecast, err := learned.Forecast(b.schedule, b.rules, oven, start)
	return forecast.Sheet(), err
}

// warmupReadings is how many readings of a run are kept to fit; a longer run is thinned out.
const warmupReadings = 2000

// warmup reads an earlier run up to the metal's peak.
func (b *bakery) warmup(ctx context.Context, file, air string, oven float64) (w bake.Warmup, err error) {
	trace, probes, closed, err := b.open(ctx, file)
	if err != nil {
		return w, err
	}
	defer func() { err = errors.Join(err, closed()) }()
	w.Name = sourceName(file)
	channels := trace.Channels()
	airAt := slices.Index(channels, air)
	switch {
	case len(probes) == 0:
		return w, fmt.Errorf("%s has no channel that is on a part: say which with --probe; its channels are %s", w.Name, list(channels))
	case air != "" && airAt < 0:
		return w, fmt.Errorf("%s has no channel %q for the air: its channels are %s", w.Name, air, list(channels))
	}
	metalAt := slices.Index(channels, probes[0].Channel)
	keep, n := 1, 0
	for sample, err := range trace.Samples() {
		if err != nil {
			return w, fmt.Errorf("%s: %w", w.Name, err)
		}
		metal, around := sample.Celsius[metalAt], oven
		if airAt >= 0 {
			around = sample.Celsius[airAt]
		}
		if math.IsNaN(metal) || math.IsNaN(around) {
			continue
		}
		if n++; n%keep != 0 {
			continue
		}
		w.Minutes, w.Metal, w.Air = append(w.Minutes, sample.Second/60), append(w.Metal, metal), append(w.Air, around)
		if len(w.Minutes) == 2*warmupReadings {
			w.Minutes, w.Metal, w.Air = halved(w.Minutes), halved(w.Metal), halved(w.Air)
			keep *= 2
		}
	}
	if len(w.Metal) > 0 {
		peak := slices.Index(w.Metal, slices.Max(w.Metal)) + 1
		w.Minutes, w.Metal, w.Air = w.Minutes[:peak], w.Metal[:peak], w.Air[:peak]
	}
	return w, nil
}

// halved keeps every second value.
func halved(values []float64) []float64 {
	for i := range len(values) / 2 {
		values[i] = values[2*i]
	}
	return values[:len(values)/2]
}
