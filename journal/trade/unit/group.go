package unit

import (
	"fmt"
	"strconv"
	"strings"
)

// ungrouped takes out of a number what stands between its thousands, as in "63 120",
// "1,263,120.5" and "1.263.120". A single comma or point with three digits behind it may
// as well be a decimal one: such a number stays as it is, and so does one whose groups are
// uneven.
func ungrouped(number string) string {
	whole, fraction, pointed := strings.Cut(number, ".")
	if pointed {
		fraction = "." + fraction
	}
	switch {
	case strings.ContainsAny(whole, spaces):
		if plain := thousands(whole, spaces); plain != "" {
			return plain + fraction
		}
	case strings.Count(whole, ",") > 1, pointed && strings.Contains(whole, ","):
		if plain := thousands(whole, ","); plain != "" {
			return plain + fraction
		}
	case strings.Count(number, ".") > 1:
		if plain := thousands(number, "."); plain != "" {
			return plain
		}
	}
	return number
}

// thousands joins the groups of a whole number that one of the separators parts: one to
// three digits, and three in each further group. It is "" of what is not so.
func thousands(number, separators string) string {
	unsigned := strings.TrimLeft(number, "+-−")
	groups := strings.Split(strings.Map(func(r rune) rune {
		if strings.ContainsRune(separators, r) {
			return ' '
		}
		return r
	}, unsigned), " ")
	for i, group := range groups {
		uneven := len(group) != 3
		if i == 0 {
			uneven = len(groups) > 1 && (len(group) > 3 || strings.HasPrefix(group, "0"))
		}
		if uneven || group == "" || strings.Trim(group, "0123456789") != "" {
			return ""
		}
	}
	return strings.TrimSuffix(number, unsigned) + strings.Join(groups, "")
}

// Whole reads a whole number that stands without a unit: a count, with or without
// something between its thousands. It reports false of everything else.
func Whole(typed string) (int, bool) {
	n, err := strconv.Atoi(strings.Replace(ungrouped(strings.TrimSpace(typed)), "−", "-", 1))
	return n, err == nil
}

// Doubtful says of a figure such as 63.120 that it can be read in two ways, "" of every
// other one. It is asked where figures run into thousands and thousandths are never
// written, as of an odometer.
func Doubtful(typed string) string {
	number, _ := Split(typed)
	whole, fraction, _ := strings.Cut(number, ".")
	if len(fraction) != 3 || strings.Trim(whole+fraction, "0123456789") != "" || whole == "" || len(whole) > 3 || whole[0] == '0' {
		return ""
	}
	decimal := strings.TrimSuffix(whole+"."+strings.TrimRight(fraction, "0"), ".")
	return fmt.Sprintf("%s can be read in two ways: write %s or %s", number, whole+fraction, decimal)
}
