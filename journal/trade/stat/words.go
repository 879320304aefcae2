package stat

import (
	"math"
	"strconv"
	"strings"

	"fettlebook/journal/words"
)

// figured is figures in words, written plainly: a number with its unit, or several.
type figured string

// Written is the figures in a way of writing.
func (f figured) Written(in words.Writing) string { return in.Number(string(f)) }

// percent writes a share with two digits that count. Near 100 % the digits of the
// remainder count, so that 0.9996 never becomes "100 %".
func percent(share float64) figured { return points(share) + " %" }

// points is percent without the sign.
func points(share float64) figured {
	decimals := 0
	if remainder := min(math.Abs(share), math.Abs(1-share)); remainder > 0 {
		decimals = 1 - int(math.Floor(math.Log10(100*remainder)))
	}
	return trim(strconv.FormatFloat(100*share, 'f', min(max(decimals, 0), 8), 64))
}

// percentagePoints writes a difference of shares.
func percentagePoints(difference float64) figured {
	if points(difference) == "1" {
		return "1 percentage point"
	}
	return points(difference) + " percentage points"
}

// figure writes a number with three digits that count and without an exponent.
func figure(x float64) figured {
	switch {
	case x == 0:
		return "0"
	case math.IsInf(x, 1):
		return "infinite"
	case math.IsInf(x, -1):
		return "minus infinite"
	}
	decimals := 2 - int(math.Floor(math.Log10(math.Abs(x))))
	return trim(strconv.FormatFloat(x, 'f', min(max(decimals, 0), 12), 64))
}

func trim(number string) figured {
	if !strings.Contains(number, ".") {
		return figured(number)
	}
	return figured(strings.TrimSuffix(strings.TrimRight(number, "0"), "."))
}

// about writes a large number with three digits that count, as in "about 1980 parts".
func about(x float64) figured {
	if magnitude := math.Floor(math.Log10(x)) - 2; magnitude > 0 && !math.IsInf(x, 0) {
		unit := math.Pow(10, magnitude)
		x = math.Round(x/unit) * unit
	}
	return figure(x)
}

// chance writes a p value.
func chance(p float64) figured {
	if p < 0.001 {
		return "p below 0.001"
	}
	return "p = " + trim(strconv.FormatFloat(p, 'f', max(3, 1-int(math.Floor(math.Log10(p)))), 64))
}

// times words a ratio, which may have no end.
func times(ratio float64) figured {
	if math.IsInf(ratio, 1) {
		return "infinitely higher than"
	}
	return figure(ratio) + " times"
}

// between writes the two ends of a ratio's interval.
func between(i Interval) figured {
	if math.IsInf(i.High, 1) {
		return figure(i.Low) + " or more"
	}
	return figure(i.Low) + " to " + figure(i.High)
}

func confidence(level float64) figured { return percent(level) + " confidence" }
