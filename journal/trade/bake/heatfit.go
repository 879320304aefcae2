package bake

import (
	"fmt"
	"math"
)

// residuals appends what a run's metal readings differ from the model with a time constant
// and the best starting temperature for it.
//
// Between two readings with air from a0 to a1 over a time s, slope b = (a1−a0)/s, the model
// dT/dt = (Ta−T)/τ has the solution T1 = a1 − bτ + (T0 − a0 + bτ)·exp(−s/τ). It is linear in
// the starting temperature, so the best one follows directly.
func (w Warmup) residuals(tau float64, to []float64) []float64 {
	first := len(to)
	forced, decay := 0.0, 1.0
	var top, bottom float64
	decays := make([]float64, len(w.Metal))
	for i, metal := range w.Metal {
		if i > 0 {
			s := w.Minutes[i] - w.Minutes[i-1]
			b, shrink := (w.air(i)-w.air(i-1))/s, math.Exp(-s/tau)
			forced = w.air(i) - b*tau + (forced-w.air(i-1)+b*tau)*shrink
			decay *= shrink
		}
		decays[i] = decay
		to = append(to, metal-forced)
		top += decay * (metal - forced)
		bottom += decay * decay
	}
	for i, d := range decays {
		to[first+i] -= top / bottom * d
	}
	return to
}

func allResiduals(tau float64, runs []Warmup) []float64 {
	var all []float64
	for _, run := range runs {
		all = run.residuals(tau, all)
	}
	return all
}

func squares(tau float64, runs ...Warmup) (sum float64) {
	for _, r := range allResiduals(tau, runs) {
		sum += r * r
	}
	return sum
}

// sensitivity is the sum of the squared derivatives of the residuals by the time constant.
func sensitivity(tau float64, runs ...Warmup) (sum float64) {
	h := tau * 1e-4
	up, down := allResiduals(tau+h, runs), allResiduals(tau-h, runs)
	for i := range up {
		d := (up[i] - down[i]) / (2 * h)
		sum += d * d
	}
	return sum
}

// fitTau finds the time constant with the least squares: a coarse search over all that the
// runs could show, then a golden-section search about the best.
func fitTau(runs ...Warmup) (float64, error) {
	shortest, longest := math.Inf(1), 0.0
	for _, run := range runs {
		n := len(run.Minutes)
		longest = max(longest, run.Minutes[n-1]-run.Minutes[0])
		shortest = min(shortest, (run.Minutes[n-1]-run.Minutes[0])/float64(n-1))
	}
	const steps = 80
	from, to := math.Log(shortest/10), math.Log(longest*20)
	width := (to - from) / steps
	best, least := 0, math.Inf(1)
	for i := range steps + 1 {
		if q := squares(math.Exp(from+float64(i)*width), runs...); q < least {
			best, least = i, q
		}
	}
	if best == 0 || best == steps {
		return 0, fmt.Errorf("%w: run %s does not warm up like a part in an oven: check which channel is the metal and which the air", ErrWarmup, runs[0].Name)
	}
	const golden = 0.6180339887498949
	a, b := from+float64(best-1)*width, from+float64(best+1)*width
	for b-a > 1e-10 {
		c, d := b-golden*(b-a), a+golden*(b-a)
		if squares(math.Exp(c), runs...) < squares(math.Exp(d), runs...) {
			b = d
		} else {
			a = c
		}
	}
	return math.Exp((a + b) / 2), nil
}

// deviation is the standard deviation of a sample.
func deviation(values []float64) float64 {
	var mean, sum float64
	for _, v := range values {
		mean += v / float64(len(values))
	}
	for _, v := range values {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(values)-1))
}
