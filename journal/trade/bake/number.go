package bake

import (
	"bytes"
	"math"
	"strconv"
	"strings"
)

// Scale is the unit of a recorder's readings.
type Scale string

// The scales.
const (
	Celsius    Scale = "°C"
	Fahrenheit Scale = "°F"
)

func (s Scale) celsius(reading float64) float64 {
	if s == Fahrenheit {
		return (reading - 32) * 5 / 9
	}
	return reading
}

// exactTens are the powers of ten that a float64 holds exactly and that are needed here.
var exactTens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// parseDecimal reads a number with a decimal point or a decimal comma. Up to fifteen
// digits it is exact to the last bit and needs no memory; what is longer or has an
// exponent goes to strconv.
func parseDecimal[Text string | []byte](text Text) (float64, bool) {
	i, negative := 0, false
	if i < len(text) && (text[i] == '-' || text[i] == '+') {
		negative = text[i] == '-'
		i++
	}
	var mantissa uint64
	digits, decimals, pointed := 0, 0, false
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case '0' <= c && c <= '9':
			mantissa = mantissa*10 + uint64(c-'0')
			digits++
			if pointed {
				decimals++
			}
		case (c == '.' || c == ',') && !pointed:
			pointed = true
		default:
			return parseLong(string(text))
		}
		if digits > 15 {
			return parseLong(string(text))
		}
	}
	if digits == 0 {
		return 0, false
	}
	value := float64(mantissa) / exactTens[decimals]
	if negative {
		value = -value
	}
	return value, true
}

// parseLong refuses what strconv takes beyond decimals: words, hexadecimal and underscores.
func parseLong(text string) (float64, bool) {
	if len(text) > 64 || strings.Trim(text, "0123456789+-.,eE") != "" {
		return 0, false
	}
	value, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return value, err == nil && !math.IsInf(value, 0)
}

// isMissing reports whether a cell says that a probe gave no reading.
func isMissing(cell []byte) bool {
	if len(cell) == 0 {
		return true
	}
	if len(bytes.Trim(cell, "-")) == 0 {
		return true
	}
	for _, word := range [...]string{"nan", "n/a", "null", "ol", "open"} {
		if len(cell) == len(word) && strings.EqualFold(string(cell), word) {
			return true
		}
	}
	return false
}
