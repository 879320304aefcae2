package bake

import (
	"errors"
	"fmt"
	"math"
)

// Heating is a part that warms up in an oven of constant air temperature as one lump,
//
//	T(t) = Air − (Air − Start)·exp(−t/Tau),   Tau = m·c/(h·A)
//
// which holds while the Biot number h·L/k is below 0.1: for 20 mm of iron in a convection
// oven it is about 0.005 (standard lumped-capacity heat transfer).
type Heating struct {
	Tau   float64 `json:"tau"`   // min
	Air   float64 `json:"air"`   // °C
	Start float64 `json:"start"` // °C
}

// ErrNeverReached is the error of asking when a part gets as hot as its oven, or how long
// a schedule takes in an oven that is too cold for it.
var ErrNeverReached = errors.New("the part never gets there in this oven")

// At returns the metal temperature in °C after some minutes.
func (h Heating) At(minutes float64) float64 {
	return h.Air - (h.Air-h.Start)*math.Exp(-minutes/h.Tau)
}

// MinutesTo returns when the metal reaches a temperature, 0 if it starts hotter.
// ErrNeverReached says that the air is not hotter.
func (h Heating) MinutesTo(celsius float64) (float64, error) {
	switch {
	case celsius <= h.Start:
		return 0, nil
	case !(celsius < h.Air):
		return 0, fmt.Errorf("%g °C in air of %g °C: %w", celsius, h.Air, ErrNeverReached)
	}
	return h.Tau * math.Log((h.Air-h.Start)/(h.Air-celsius)), nil
}

// MinutesToSchedule returns when the schedule fraction reaches 1 on the strict reading of
// the rules. ErrNeverReached says that the air is too cold for any of it.
func (h Heating) MinutesToSchedule(s Schedule, rules Rules) (float64, error) {
	if w := s.window(rules.Strict, rules.Above); h.Air <= w.low+grace {
		return 0, fmt.Errorf("the schedule counts from %.4g °C, in air of %g °C: %w", w.low+grace, h.Air, ErrNeverReached)
	}
	minutes, _ := h.march(s, rules, math.Inf(1), 1)
	return minutes, nil
}

// march integrates the fraction until a time or a sum is reached, and returns both.
func (h Heating) march(s Schedule, rules Rules, until, enough float64) (minutes, sum float64) {
	const (
		stepsPerTau = 32
		settled     = 40 // time constants, after which exp(−t/τ) is below the last bit
	)
	k, w := s.kinetics(), s.window(rules.Strict, rules.Above)
	part := func(from, to float64) float64 {
		const node = 0.7745966692414834 // √(3/5), three-point Gauss-Legendre
		m, d := (from+to)/2, (to-from)/2
		rate := func(t float64) float64 { return k.rate(min(h.At(t), w.high)) }
		return 60 * (to - from) / 18 * (5*rate(m-node*d) + 8*rate(m) + 5*rate(m+node*d))
	}
	begin, err := h.MinutesTo(w.low)
	if err != nil || !(h.Tau > 0) || !(begin < until) { // also where one of them is not a number
		return until, 0
	}
	capped, err := h.MinutesTo(w.high)
	if err != nil {
		capped = math.Inf(1)
	}
	for at := begin; ; {
		if at >= settled*h.Tau || at >= capped {
			rate := 60 * k.rate(min(h.Air, w.high))
			minutes = min(until, at+(enough-sum)/rate)
			return minutes, sum + (minutes-at)*rate
		}
		next := min(at+h.Tau/stepsPerTau, capped, until)
		step := part(at, next)
		if sum+step >= enough {
			low, high := at, next
			for range 60 {
				if m := (low + high) / 2; sum+part(at, m) < enough {
					low = m
				} else {
					high = m
				}
			}
			return high, enough
		}
		if at, sum = next, sum+step; at >= until {
			return at, sum
		}
	}
}
