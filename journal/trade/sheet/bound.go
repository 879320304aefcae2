package sheet

import (
	"math"
	"strconv"
	"strings"
)

// Bound is a limit as a range in some unit, an open end infinite, or in words alone.
type Bound struct {
	Low, High float64
	Unit      string
	words     string
}

// Between is a range of which both ends are in.
func Between(low, high float64, digits int, unit string) Bound {
	return Bound{low, high, unit, Number(low, digits) + " to " + Number(high, digits) + " " + unit}
}

// AtLeast is a range without an upper end.
func AtLeast(low float64, digits int, unit string) Bound {
	return Bound{low, math.Inf(1), unit, "at least " + Number(low, digits) + " " + unit}
}

// AtMost is a range without a lower end.
func AtMost(high float64, digits int, unit string) Bound {
	return Bound{math.Inf(-1), high, unit, "at most " + Number(high, digits) + " " + unit}
}

// Words is a limit that is not a range of one figure.
func Words(words string) Bound { return Bound{Low: math.Inf(-1), High: math.Inf(1), words: words} }

// As returns the bound in words of its own, such as those that were typed.
func (b Bound) As(words string) Bound {
	b.words = words
	return b
}

// String returns the bound as people read it: "48.0 to 120.0 µm".
func (b Bound) String() string { return b.words }

// MarshalText returns what String does.
func (b Bound) MarshalText() ([]byte, error) { return []byte(b.words), nil }

// Number writes a number with so many digits behind the point, and zero without a sign.
func Number(value float64, digits int) string {
	text := strconv.FormatFloat(value, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}

// Significant writes a number with four digits that count, without an exponent.
func Significant(value float64) string {
	if value == 0 || math.IsInf(value, 0) {
		return strconv.FormatFloat(value, 'f', -1, 64)
	}
	places := min(max(3-int(math.Floor(math.Log10(math.Abs(value)))), 0), 9)
	text := strconv.FormatFloat(value, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// Percent writes a share as a percentage with four digits that count.
func Percent(share float64) string { return Significant(100*share) + " %" }
