package recorder

import (
	"slices"
	"strings"

	"fettlebook/journal/trade/bake"
)

// spellings of the two scales in header cells, in lower case, the longer ones first. A
// bare letter counts only in brackets, since it may as well name a channel.
func spellings(s bake.Scale) []string {
	if s == bake.Celsius {
		return []string{"celsius", "[deg c]", "(deg c)", "[degc]", "(degc)", "deg c", "degc", "[°c]", "(°c)", "[ºc]", "(ºc)", "[℃]", "(℃)", "[c]", "(c)", "°c", "ºc", "° c", "℃"}
	}
	return []string{"fahrenheit", "[deg f]", "(deg f)", "[degf]", "(degf)", "deg f", "degf", "[°f]", "(°f)", "[ºf]", "(ºf)", "[℉]", "(℉)", "[f]", "(f)", "°f", "ºf", "° f", "℉"}
}

// scalesIn returns the scales that a header text names.
func scalesIn(text string) (found []bake.Scale) {
	lower := strings.ToLower(text)
	for _, s := range []bake.Scale{bake.Celsius, bake.Fahrenheit} {
		if slices.ContainsFunc(spellings(s), func(spelling string) bool { return strings.Contains(lower, spelling) }) {
			found = append(found, s)
		}
	}
	return found
}

// withoutScale cuts the scale off a channel's name: "Probe 1 [°C]" is Probe 1.
func withoutScale(name string) string {
	for _, s := range []bake.Scale{bake.Celsius, bake.Fahrenheit} {
		for _, spelling := range spellings(s) {
			if n := len(name) - len(spelling); n >= 0 && strings.EqualFold(name[n:], spelling) {
				return strings.TrimRight(name[:n], " _-/,:")
			}
		}
	}
	return name
}

// isUnits reports whether a header line has nothing but units below the names.
func isUnits(cells []string) bool {
	scales := 0
	for i, cell := range cells {
		switch {
		case len(scalesIn(cell)) == 1 && withoutScale(cell) == "":
			scales++
		case cell != "" && i > 1 && !slices.Contains([]string{"%", "V", "-"}, cell):
			return false
		}
	}
	return scales > 0 && scales >= len(withoutEmptyEnd(cells))-2
}

// timeUnitIn returns the one unit of time that a header cell names, or none.
func timeUnitIn(cell string) (found TimeUnit) {
	units := map[TimeUnit][]string{
		Milliseconds: {"ms", "msec", "millisecond", "milliseconds"},
		Seconds:      {"s", "sec", "secs", "second", "seconds", "sek", "sekunde", "sekunden"},
		Minutes:      {"min", "mins", "minute", "minutes", "minuten"},
		Hours:        {"h", "hr", "hrs", "hour", "hours"},
	}
	for unit, spellings := range units {
		for _, word := range letters(cell) {
			if !slices.Contains(spellings, word) {
				continue
			}
			if found != "" && found != unit {
				return ""
			}
			found = unit
		}
	}
	return found
}
