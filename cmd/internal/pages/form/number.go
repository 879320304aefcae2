package form

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// quantity joins a number with its unit. Of a unit that was typed with the
// number every letter stays, and it goes before the one that is chosen beside.
func (f *Field) quantity(typed, chosen string) (any, string) {
	typed = f.writing.Plain(typed)
	number, own := unit.Split(typed)
	if !strings.ContainsAny(number, "0123456789") {
		return nil, fmt.Sprintf("%s does not begin with a number, such as 27 or %s.", words.Quoted(clip(typed)), f.shown("27.5"))
	}
	if chosen == "" && len(f.Units) > 0 {
		chosen = f.Units[0]
	}
	whole := number + " " + chosen
	if own != "" {
		whole = typed
	}
	if f.thousands {
		if problem := unit.Doubtful(number); problem != "" {
			return nil, words.Sentence(problem)
		}
	}
	return whole, ""
}

// step adds to a number as often as by says, keeps its decimals and the unit
// after it, and stays at or above the field's least.
func (f *Field) step(typed string, by int) string {
	number, rest := unit.Split(f.writing.Plain(typed))
	now, err := unit.Grouped(number)
	if err != nil || math.Abs(now) > 1e12 {
		now, number = 0, ""
	}
	places := max(decimals(number), decimals(strconv.FormatFloat(f.Step, 'f', -1, 64)))
	next := strconv.FormatFloat(max(f.Least, now+float64(by)*f.Step), 'f', places, 64)
	next = f.shown(next)
	if rest != "" {
		next += " " + rest
	}
	return next
}

// shown is a number with its decimal sign as the shop writes it.
func (f *Field) shown(number string) string {
	return words.Writing{Decimal: f.writing.Decimal}.Number(number)
}

// Each is how far one press on + or − goes, as it is said.
func (f Field) Each() string { return f.shown(strconv.FormatFloat(f.Step, 'f', -1, 64)) }

// Sign is the decimal sign of the field where that is not a point.
func (f Field) Sign() string { return words.If(f.writing.Decimal == words.Comma, ",") }

// stepping has + and − of a count stay at or above the least that it can be.
func stepping(kind journal.Kind, within string, fields []Field) {
	for i := range fields {
		f := &fields[i]
		if span, ok := journal.SpanOf(kind, within+f.Name); ok && f.Control == Count {
			f.Least, _ = unit.Decimal(span.Low)
		}
		stepping(kind, within+f.Name+".", f.Cells)
	}
}

func decimals(number string) int {
	_, frac, _ := strings.Cut(number, ".")
	if strings.Contains(frac, ".") { // between thousands
		return 0
	}
	return min(len(frac), 6)
}

// Step is one press on + or − of a field, or of a cell such as
// "features.0.count", without a script.
func (s Sheet) Step(v Values, name string, by int) Values {
	f := s.at(name)
	if f == nil || f.Control != Quantity && f.Control != Count {
		return v
	}
	return v.with(name, f.step(v.Get(name), max(-100, min(by, 100))))
}

// Asks reports whether the form has a field of that name, or a row of a field
// that has rows.
func (s Sheet) Asks(name string) bool { return s.at(name) != nil }

// at finds the field or the cell of a posted name.
func (s Sheet) at(name string) *Field {
	if f := s.Field(name); f != nil {
		return f
	}
	for i := range s.Fields {
		f := &s.Fields[i]
		rest, ok := strings.CutPrefix(name, f.Name+".")
		if !ok {
			continue
		}
		number, cell, _ := strings.Cut(rest, ".")
		if _, ok := row(number); !ok {
			continue
		}
		for j := range f.Cells {
			if f.Cells[j].Name == cell {
				return &f.Cells[j]
			}
		}
	}
	return nil
}

// id makes a name fit for an element's id.
func id(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' {
			return r
		}
		return '-'
	}, name)
}

// ID is the id of a field's element on a page.
func ID(field string) string { return "f-" + id(field) }
