package vin

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// maxSuggestions bounds what a person is asked to compare with the plate. Suggestions
// of one swap are never cut; there are hardly ever more than two.
const maxSuggestions = 8

// Result is what Check found.
type Result struct {
	VIN         VIN          // normal form; "" when the text is not a VIN
	Digit       byte         // the check digit that would fit, 0 when the text is not a VIN
	Fits        bool         // whether position 9 is that digit
	Sum         int          // the weighted sum behind Digit
	Note        string       // one sentence for the person, "" when the digit fits
	Suggestions []Suggestion // what may have been meant, likeliest first
}

// Suggestion is another reading of what was entered.
type Suggestion struct {
	VIN   VIN
	Swaps []Swap // in order of position
}

// Swap is one character that may have been misread.
type Swap struct {
	Position    int // counted from 1
	Read, Meant byte
}

// String names the swaps by position: "position 10: 5 instead of S".
func (s Suggestion) String() string {
	var parts []string
	for _, swap := range s.Swaps {
		parts = append(parts, fmt.Sprintf("position %d: %c instead of %c", swap.Position, swap.Meant, swap.Read))
	}
	return strings.Join(parts, ", ")
}

// Check judges a text as a VIN. It never refuses a VIN for its check digit: it says
// what is odd, and suggests readings with one or two characters swapped for a look-alike
// (I and 1, O or Q and 0, S and 5, B and 8, Z and 2) whose digit fits.
//
// A text with I, O or Q is no VIN; the suggestions then have digits in their place. If
// the check digit of none fits, that replacement alone is suggested.
func Check(text string) Result {
	normal := normalise(text)
	if problem := problemOf(normal); problem != "" {
		return Result{Note: problem, Suggestions: suggest(normal)}
	}
	v := VIN(normal)
	total, _ := sum(normal)
	want, fits := v.CheckDigit()
	result := Result{VIN: v, Digit: want, Fits: fits, Sum: total}
	switch got := v[checkPosition]; {
	case fits:
		return result
	case got >= 'A' && got != 'X':
		result.Note = fmt.Sprintf("position 9 is %c, which is not a check digit: usual for vehicles not built for North America, so nothing can be checked", got)
	default:
		result.Note = fmt.Sprintf("position 9 is %c, but the other characters give %c: compare every character with the plate, unless the vehicle was not built for North America", got, want)
	}
	result.Suggestions = suggest(normal)
	return result
}

// suggest returns the readings of a normalised text that are VINs and whose check digit
// fits, fewest swaps first.
func suggest(normal string) []Suggestion {
	read := []byte(normal)
	if len(read) != Length {
		return nil
	}
	base := slices.Clone(read)
	var must int // letters that no VIN holds
	for i, c := range base {
		if meant, ok := forbidden(rune(c)); ok {
			base[i] = byte(meant)
			must++
		}
	}
	if problemOf(string(base)) != "" {
		return nil
	}

	var found []Suggestion
	consider := func(reading []byte) {
		if _, ok := VIN(reading).CheckDigit(); ok {
			found = append(found, suggestion(read, reading))
		}
	}
	if must > 0 {
		consider(base)
	}
	for i := 0; i < Length && must < 2; i++ {
		once, ok := swapped(base, i)
		if !ok {
			continue
		}
		consider(once)
		for j := i + 1; j < Length && must == 0; j++ {
			if twice, ok := swapped(once, j); ok {
				consider(twice)
			}
		}
	}
	if must > 0 && len(found) == 0 {
		return []Suggestion{suggestion(read, base)}
	}
	return likeliest(found)
}

// swapped returns a copy with the look-alike at index i, if that character has one. The
// last four characters are digits in every VIN (49 CFR 565.15(d), from memory), so no
// letter is put there.
func swapped(reading []byte, i int) ([]byte, bool) {
	lookAlikes := "5S8B2Z"
	if i >= Length-4 {
		lookAlikes = "5-8-2-"
	}
	at := strings.IndexByte("S5B8Z2", reading[i])
	if at < 0 || lookAlikes[at] == '-' {
		return nil, false
	}
	copied := slices.Clone(reading)
	copied[i] = lookAlikes[at]
	return copied, true
}

func suggestion(read, meant []byte) Suggestion {
	s := Suggestion{VIN: VIN(meant)}
	for i := range read {
		if read[i] != meant[i] {
			s.Swaps = append(s.Swaps, Swap{Position: i + 1, Read: read[i], Meant: meant[i]})
		}
	}
	return s
}

// likeliest orders by number of swaps, then by position, and cuts the long tail.
func likeliest(found []Suggestion) []Suggestion {
	slices.SortStableFunc(found, func(a, b Suggestion) int { return cmp.Compare(len(a.Swaps), len(b.Swaps)) })
	keep := min(len(found), maxSuggestions)
	for keep < len(found) && len(found[keep].Swaps) == 1 {
		keep++
	}
	return found[:keep]
}
