package bake

import "math"

// studentT975 returns the 97.5 % point of Student's t, below which 95 % of values of
// either sign lie, for one degree of freedom or more.
func studentT975(freedom int) float64 {
	const many = 200
	if freedom > many {
		return studentExpansion(float64(freedom))
	}
	low, high := 0.0, math.Pi/2
	for range 64 {
		if middle := (low + high) / 2; studentCentral(middle, freedom) < 0.95 {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Sqrt(float64(freedom)) * math.Tan(low)
}

// studentCentral returns the share of values between −t and t for t = √ν·tan θ
// (Abramowitz and Stegun 26.7.3 and 26.7.4).
func studentCentral(theta float64, freedom int) float64 {
	sin, cos := math.Sincos(theta)
	odd := freedom%2 == 1
	term, first := 1.0, 2
	if odd {
		term, first = cos, 3
	}
	sum := term
	for k := first; k <= freedom-2; k += 2 {
		term *= cos * cos * float64(k-1) / float64(k)
		sum += term
	}
	switch {
	case freedom == 1:
		return 2 * theta / math.Pi
	case odd:
		return 2 / math.Pi * (theta + sin*sum)
	}
	return sin * sum
}

// studentExpansion is Abramowitz and Stegun 26.7.5, good for many degrees of freedom.
func studentExpansion(v float64) float64 {
	const z = 1.959963984540054 // of the normal distribution
	const z2 = z * z
	g1 := z * (z2 + 1) / 4
	g2 := z * ((5*z2+16)*z2 + 3) / 96
	g3 := z * (((3*z2+19)*z2+17)*z2 - 15) / 384
	return z + (g1+(g2+g3/v)/v)/v
}
