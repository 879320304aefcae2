package bake

import "math"

// StudentT975 is checked against a printed table.
var StudentT975 = studentT975

// Fraction is the schedule fraction on the strict reading of the rules after minutes in the
// oven, which MinutesToSchedule adds up.
func (h Heating) Fraction(s Schedule, rules Rules, minutes float64) float64 {
	_, sum := h.march(s, rules, minutes, math.Inf(1))
	return sum
}
