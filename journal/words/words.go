// Package words puts numbers and lists into English sentences, so that one and many, the
// last comma and the first letter are right everywhere in the same way. It knows nothing
// of what is said.
package words

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Count writes a number of things: "0 photos", "1 photo", "2 entries", "3 washes".
func Count[N ~int | ~int64 | ~uint64](n N, noun string) string {
	return strconv.FormatInt(int64(n), 10) + " " + Noun(n, noun)
}

// Noun is a regular noun in the form that goes with a number: its last word takes the s.
func Noun[N ~int | ~int64 | ~uint64](n N, noun string) string {
	if n == 1 || noun == "" {
		return noun
	}
	stem, y := strings.CutSuffix(noun, "y")
	switch {
	case y && stem != "" && !strings.ContainsRune("aeiou", rune(stem[len(stem)-1])):
		return stem + "ies"
	case slices.ContainsFunc([]string{"s", "x", "z", "ch", "sh"}, func(end string) bool { return strings.HasSuffix(noun, end) }):
		return noun + "es"
	default:
		return noun + "s"
	}
}

// Singular is the other way round: a noun as it is for one of it, if it has the
// form for many.
func Singular(noun string) string {
	for _, end := range []string{"sses", "xes", "ches", "shes"} {
		if strings.HasSuffix(noun, end) {
			return strings.TrimSuffix(noun, "es")
		}
	}
	switch {
	case strings.HasSuffix(noun, "ies") && len(noun) > len("ties"):
		return strings.TrimSuffix(noun, "ies") + "y"
	case strings.HasSuffix(noun, "ss"), strings.HasSuffix(noun, "us"):
		return noun
	default:
		return strings.TrimSuffix(noun, "s")
	}
}

// Either writes a number with a word that has a form of its own for many: "1 stratum",
// "2 strata"; "1 stands out", "2 stand out".
func Either[N ~int | ~int64 | ~uint64](n N, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.FormatInt(int64(n), 10) + " " + many
}

// Of writes a share of things, whose noun goes with their number: "1 of 3 stages", "0 of 1
// stage".
func Of[N ~int | ~int64 | ~uint64](n, all N, noun string) string {
	return strconv.FormatInt(int64(n), 10) + " of " + Count(all, noun)
}

// Commas joins what is given with commas alone: "a, b, c". Empty words are left out.
func Commas[T ~string](list ...T) string { return joined(list, ", ", ", ") }

// Clauses joins what is given with semicolons, since a clause may hold commas.
func Clauses[T ~string](list ...T) string { return joined(list, "; ", "; ") }

// And joins what is given as a sentence does: "a", "a and b", "a, b and c".
func And[T ~string](list ...T) string { return joined(list, ", ", " and ") }

// Or is And for a choice: "a", "a or b", "a, b or c".
func Or[T ~string](list ...T) string { return joined(list, ", ", " or ") }

func joined[T ~string](list []T, comma, last string) string {
	var given []string
	for _, w := range list {
		if w != "" {
			given = append(given, string(w))
		}
	}
	n := len(given) - 1
	if n < 1 {
		return strings.Join(given, "")
	}
	return strings.Join(given[:n], comma) + last + given[n]
}

// Capital begins a sentence with a capital, unless it begins with a name that is written
// as it is, such as tw-1.
func Capital(text string) string {
	first, _, _ := strings.Cut(text, " ")
	r, n := utf8.DecodeRuneInString(text)
	if n == 0 || r == utf8.RuneError || strings.ContainsFunc(first, unicode.IsDigit) {
		return text
	}
	return string(unicode.ToUpper(r)) + text[n:]
}

// Small begins a phrase with a small letter, as it stands within a sentence, unless it
// begins with an abbreviation, such as VIN.
func Small(phrase string) string {
	r, n := utf8.DecodeRuneInString(phrase)
	if next, _ := utf8.DecodeRuneInString(phrase[n:]); n == 0 || r == utf8.RuneError || unicode.IsUpper(next) {
		return phrase
	}
	return string(unicode.ToLower(r)) + phrase[n:]
}

// Sentence makes a sentence of a clause: a capital in front and a stop behind, where there
// is none. An empty clause stays empty.
func Sentence(clause string) string {
	if clause == "" || slices.ContainsFunc([]string{".", "!", "?", "…"}, func(end string) bool { return strings.HasSuffix(clause, end) }) {
		return Capital(clause)
	}
	return Capital(clause) + "."
}

// Quoted is a text that somebody typed, or a name, as it stands in a sentence.
func Quoted[T ~string](text T) string { return "“" + OneLine(string(text)) + "”" }

// Squash takes away from a name, such as a vehicle's plate, what people write differently:
// case, spaces and dashes.
func Squash(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) {
			return -1
		}
		return unicode.ToUpper(r)
	}, name)
}

// Given puts a value into a phrase: "", if the value has no words.
func Given[T fmt.Stringer](phrase string, value T) string { return Fill(phrase, value.String()) }

// Fill puts a text into a phrase: "", if there is no text.
func Fill[T ~string](phrase string, text T) string {
	if text == "" {
		return ""
	}
	return fmt.Sprintf(phrase, string(text))
}

// If is the phrase where a thing is so, and otherwise "".
func If(so bool, phrase string) string { return Choose(so, phrase, "") }

// Choose is one phrase or the other.
func Choose(so bool, then, otherwise string) string {
	if so {
		return then
	}
	return otherwise
}

// Span writes the figures between two values, of which either may be missing.
func Span[T fmt.Stringer](low, high T) string { return Between(low.String(), high.String()) }

// Between does what Span does, of limits that are words already.
func Between(low, high string) string {
	switch {
	case low == "":
		return Fill("at most %s", high)
	case high == "":
		return "at least " + low
	default:
		return low + " to " + high
	}
}

// Lasting writes seconds as a person says them: 90 s, 49 min, 2.5 h.
func Lasting(seconds float64) string {
	rounded := func(x, parts float64) string {
		return strconv.FormatFloat(math.Round(x*parts)/parts, 'f', -1, 64)
	}
	switch {
	case seconds < 120:
		return rounded(seconds, 1000) + " s"
	case seconds < 7200:
		return rounded(seconds/60, 10) + " min"
	}
	return rounded(seconds/3600, 10) + " h"
}
