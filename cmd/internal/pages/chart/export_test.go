package chart

// Of the inside, for its property tests.
var (
	Thin    = thin
	Runs    = runs
	StepOf  = stepOf
	Ticks   = ticks
	Minutes = minutes
	Around  = around
	Named   = named
)

// Drawn lays a picture out for both kinds of page.
func Drawn(what drawable) Drawing { return Drawing{}.of(what) }

// Spread returns the heights that labels at these heights get, in their order.
func Spread(ys []float64, top, bottom, space float64) (at []float64) {
	labels := make([]label, len(ys))
	for i, y := range ys {
		labels[i].y = y
	}
	spread(labels, top, bottom, space)
	for _, l := range labels {
		at = append(at, l.at)
	}
	return at
}
