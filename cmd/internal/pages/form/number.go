package form

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// splitNumber parts what was typed into its number and the unit after it.
func splitNumber(typed string) (number, rest string) {
	typed = strings.TrimSpace(strings.ReplaceAll(typed, "−", "-"))
	end := 0
	for i, r := range typed {
		if !(r >= '0' && r <= '9' || r == '.' || r == ',' || (r == '-' || r == '+') && i == 0) {
			break
		}
		end = i + len(string(r))
	}
	return typed[:end], strings.TrimSpace(typed[end:])
}

// readQuantity joins a number with its unit. A unit that was typed with the
// number goes before the one that is chosen beside it.
func (f *Field) readQuantity(typed, unit, name string, p Problems) any {
	if typed == "" {
		return nil
	}
	number, own := splitNumber(typed)
	if own != "" {
		unit = own
	}
	if unit == "" && len(f.Units) > 0 {
		unit = f.Units[0]
	}
	value, err := strconv.ParseFloat(number, 64)
	switch {
	case strings.Contains(number, ","):
		p.add(name, fmt.Sprintf("%s has a comma; write the number with a decimal point, such as %s.", typed, strings.Replace(number, ",", ".", 1)))
	case err != nil || math.IsInf(value, 0):
		p.add(name, fmt.Sprintf("%q does not begin with a number, such as 27 or 27.5.", typed))
	case f.Most > 0 && unit == f.Units[0] && value > f.Most:
		p.add(name, fmt.Sprintf("%s is more than %g %s; look again.", number, f.Most, unit))
	default:
		return number + " " + unit
	}
	return nil
}

// step adds to a number as often as by says, keeps its decimals and the unit
// after it, and stays at or above the field's least.
func (f *Field) step(typed string, by int) string {
	number, rest := splitNumber(typed)
	now, err := strconv.ParseFloat(number, 64)
	if err != nil || math.Abs(now) > 1e12 {
		now, number = 0, ""
	}
	places := max(decimals(number), decimals(strconv.FormatFloat(f.Step, 'f', -1, 64)))
	next := strconv.FormatFloat(max(f.Least, now+float64(by)*f.Step), 'f', places, 64)
	if rest != "" {
		next += " " + rest
	}
	return next
}

func decimals(number string) int {
	_, frac, _ := strings.Cut(number, ".")
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
