package chart

import (
	"math"
	"slices"
	"strconv"
)

// minutes are the steps in which people count a time.
func minutes() []float64 {
	return []float64{0.5, 1, 2, 5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 480, 720, 1440}
}

// stepOf returns the least step that cuts the span into at most so many
// pieces: one of the preferred ones, else 1, 2 or 5 times a power of ten.
func stepOf(span float64, most int, preferred []float64) float64 {
	least := span / float64(most)
	if i := slices.IndexFunc(preferred, func(s float64) bool { return s >= least }); i >= 0 && least > preferred[0]/2 {
		return preferred[i]
	}
	power := math.Pow(10, math.Floor(math.Log10(least)))
	for _, times := range []float64{1, 2, 5} {
		if times*power >= least*(1-1e-9) {
			return times * power
		}
	}
	return 10 * power
}

// ticks returns the multiples of a step from low to high.
func ticks(low, high, step float64) (list []float64) {
	const grace = 1e-9
	for n := math.Ceil(low/step - grace); n <= high/step+grace; n++ {
		list = append(list, n*step)
	}
	return list
}

// around widens a range to whole steps, so that an axis ends at its ticks.
func around(low, high float64, most int) (from, to, step float64) {
	if !(high > low) {
		high = low + 1
	}
	step = stepOf(high-low, most, nil)
	return math.Floor(low/step+1e-9) * step, math.Ceil(high/step-1e-9) * step, step
}

// named writes a tick with the digits that its step needs.
func named(tick, step float64) string {
	digits := 0
	for s := step; digits < 6 && math.Abs(s-math.Round(s)) > 1e-6*step; s *= 10 {
		digits++
	}
	text := strconv.FormatFloat(tick, 'f', digits, 64)
	if v, err := strconv.ParseFloat(text, 64); err == nil && v == 0 {
		return "0"
	}
	return text
}
