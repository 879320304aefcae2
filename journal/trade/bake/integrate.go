package bake

import "math"

// grace lowers every lower bound by a millionth of a kelvin, so that the rounding of a
// conversion from °F does not decide whether metal at the very bound counts.
const grace = 1e-6

// coldest bounds every lower bound from below, in °C. No powder reacts there, and ramps
// from it still integrate in few steps.
const coldest = -150

// kinetics is a schedule made ready for integrating.
type kinetics struct {
	slope    float64 // Ea/R in K
	constant float64 // ln of the rate per second at infinite temperature
}

func (s Schedule) kinetics() kinetics {
	return kinetics{slope: s.slope, constant: s.slope/s.refK - math.Log(60*s.refMin)}
}

// rate returns schedules per second.
func (k kinetics) rate(celsius float64) float64 {
	return math.Exp(k.constant - k.slope/kelvin(celsius))
}

// mean returns the mean rate along a straight ramp from a up to b. Panels are so narrow
// that three-point Gauss-Legendre errs by less than one part in ten million: its error is
// (kh)⁶/2016000 for a rate that grows as exp(kT).
func (k kinetics) mean(a, b float64) float64 {
	const (
		node  = 0.7745966692414834 // √(3/5)
		outer = 5.0 / 18
		inner = 8.0 / 18
	)
	low := kelvin(a)
	panels := math.Ceil(2 * k.slope / (low * low) * (b - a))
	if !(panels > 1) {
		m, h := (a+b)/2, (b-a)/2*node
		return outer*(k.rate(m-h)+k.rate(m+h)) + inner*k.rate(m)
	}
	width, sum := (b-a)/panels, 0.0
	for i := range int(panels) {
		m, h := a+(float64(i)+0.5)*width, width/2*node
		sum += outer*(k.rate(m-h)+k.rate(m+h)) + inner*k.rate(m)
	}
	return sum / panels
}

// window is the range of temperatures that counts: nothing below low, and nothing extra
// above high, which is +Inf when there is no cap.
type window struct {
	low, high float64
}

func (s Schedule) window(r Reading, above Limit) window {
	w := window{low: s.lowest() - grace, high: math.Inf(1)}
	if len(s.points) > 1 {
		w.low = max(s.lowest()-r.Below.Value, coldest) - grace
	}
	if r.Capped {
		w.high = s.highest() + above.Value
	}
	return w
}

// over returns the schedule fraction of a straight ramp between two temperatures, in
// either direction.
func (k kinetics) over(c0, c1, seconds float64, w window) float64 {
	low, high := min(c0, c1), max(c0, c1)
	switch {
	case high < w.low:
		return 0
	case low >= w.high:
		return seconds * k.rate(w.high)
	case high == low:
		return seconds * k.rate(low)
	}
	a, b := max(low, w.low), min(high, w.high)
	sum := (b - a) * k.mean(a, b)
	if high > w.high {
		sum += (high - w.high) * k.rate(w.high)
	}
	return seconds * sum / (high - low)
}

// secondsAbove returns how long a straight ramp between two temperatures is at or above
// a third.
func secondsAbove(celsius, c0, c1, seconds float64) float64 {
	low, high := min(c0, c1), max(c0, c1)
	switch {
	case low >= celsius:
		return seconds
	case high <= celsius:
		return 0
	}
	return seconds * (high - celsius) / (high - low)
}
