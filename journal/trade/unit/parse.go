package unit

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"fettlebook/journal/words"
)

// maxLength is the longest quantity taken, in characters. The longest sensible one is
// half of it; it also keeps every number far inside the range of a float64.
const maxLength = 40

// Error says why a text is not a quantity of the wanted dimension.
type Error struct {
	Text    string // what was typed
	Want    string // what the field holds, such as "a torque"
	Problem string // what is wrong and what to do, as one sentence
	Spelled bool   // the sentence begins with the unit as it was typed: of nm and Nm one is right
}

// Error returns the problem behind the text it is about.
func (e *Error) Error() string {
	text := e.Text
	if runes := []rune(text); len(runes) > maxLength {
		text = string(runes[:maxLength]) + "…"
	}
	return fmt.Sprintf("%s: %s", words.Quoted(text), e.Problem)
}

// Parse reads a quantity of type Q, as in Parse[Torque]("27 N.m"). Errors are of type
// *Error.
func Parse[Q interface{ Of[D] }, D Dimension](text string) (Q, error) {
	q, err := parse[D](text)
	return Q(q), err
}

func parse[D Dimension](typed string) (Of[D], error) {
	about := dimensionOf[D]()
	text := strings.TrimSpace(typed)
	refuse := func(format string, args ...any) (Of[D], error) {
		return Of[D]{}, &Error{Text: text, Want: about.noun, Problem: fmt.Sprintf(format, args...)}
	}
	switch {
	case text == "":
		return refuse("nothing was entered: write for example %s", about.example)
	case utf8.RuneCountInString(text) > maxLength:
		return refuse("this is longer than %d characters: write only a number and its unit, for example %s", maxLength, about.example)
	}

	number, spelling := Split(text)
	value, problem := readNumber(number, spelling, about.grouped)
	switch {
	case problem != "":
		return refuse("%s", problem)
	case number == "":
		return refuse("the number is missing: write for example %s", about.example)
	case spelling == "":
		return refuse("the unit is missing: write for example %s", about.example)
	}

	index := about.find(spelling)
	if index == 0 {
		return Of[D]{}, &Error{Text: text, Want: about.noun, Problem: about.explain(spelling), Spelled: true}
	}
	switch least := about.scales[index].least; {
	case value >= least:
		return Of[D]{text: text, value: value, unit: Unit[D](index)}, nil
	case least < 0:
		return refuse("this is below absolute zero, %v %s: check the number and the sign", least, spelling)
	default:
		return refuse("%s cannot be negative: leave out the minus sign", about.noun)
	}
}

// find returns the index of the unit with that spelling, or 0.
func (d *dimension) find(spelling string) int {
	return max(0, slices.IndexFunc(d.scales, func(s scale) bool { return slices.Contains(s.spellings, spelling) }))
}

// Alike reports whether two spellings are of one unit, as "lbf.ft" and "lb·ft" are.
func Alike(one, other string) bool {
	return slices.ContainsFunc(dimensions, func(d *dimension) bool {
		i := d.find(one)
		return i > 0 && i == d.find(other)
	})
}

// Known reports whether a spelling is of any unit.
func Known(spelling string) bool { return Alike(spelling, spelling) }

// Between returns a number of one unit in another, each by one of its spellings. It
// reports false unless both are units of one quantity.
func Between(value float64, from, to string) (float64, bool) {
	for _, d := range dimensions {
		if own, into := d.find(from), d.find(to); own != 0 && into != 0 {
			return convert(value, d.scales[own], d.scales[into]), true
		}
	}
	return 0, false
}

// explain says why the spelling is not a unit of this dimension. It begins with the
// spelling.
func (d *dimension) explain(spelling string) string {
	for _, u := range d.unclear {
		if u.spelling == spelling {
			return u.problem
		}
	}
	for _, other := range dimensions {
		if other.find(spelling) > 0 {
			return fmt.Sprintf("%s is %s; this field needs %s, for example %s", spelling, other.noun, d.noun, d.example)
		}
	}
	var usual []string
	for _, s := range d.scales[1:] {
		usual = append(usual, s.spellings[0])
		for _, known := range s.spellings {
			if strings.EqualFold(known, spelling) {
				return fmt.Sprintf("%s is not a unit known here: capitals matter here, write %s", spelling, known)
			}
		}
	}
	return fmt.Sprintf("%s is not a unit known here: write %s with one of %s", words.Quoted(spelling), d.noun, strings.Join(usual, ", "))
}
