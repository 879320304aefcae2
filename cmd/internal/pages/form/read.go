package form

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// reader turns what was typed into data, field by field.
type reader struct {
	kind  journal.Kind
	typed Values
	wrong Problems
}

// read makes the JSON value of a field. It is nil if nothing was typed, or
// something wrong, which is told then.
func (r *reader) read(f *Field, name string) any {
	switch f.Control {
	case List:
		return r.list(f, name)
	case Rows:
		return r.rows(f, name)
	}
	value, wrong := f.value(r.typed, name)
	if value != nil && wrong == "" {
		wrong = f.misfit(r.kind, value)
		if n, err := strconv.Atoi(r.typed.Get(name)); wrong != "" && f.Control == Keep && err == nil {
			value, wrong = n, f.misfit(r.kind, n) // such as the edition of a route card
		}
	}
	if wrong != "" {
		r.wrong.add(name, wrong)
		return nil
	}
	return value
}

// value is what was typed into a field that has no rows, and what is wrong
// with it before anybody asks what the kind takes.
func (f *Field) value(v Values, name string) (value any, wrong string) {
	typed := v.Get(name)
	if typed == "" && f.Control != Several {
		return nil, ""
	}
	switch f.Control {
	case Quantity:
		return f.quantity(typed, v.Get(name+".unit"))
	case Count:
		return f.count(typed)
	case YesNo:
		switch typed {
		case "yes", "no":
			return typed == "yes", ""
		}
		return nil, ""
	case Tick:
		if ticked(typed) {
			return true, ""
		}
		return nil, ""
	case Several:
		return f.several(v[name])
	case Choice:
		return typed, f.unknown(typed)
	default:
		return typed, tooLong(typed)
	}
}

// ticked reports whether a box is ticked. A box that is not is not posted, but
// data may say no in so many words.
func ticked(typed string) bool { return typed != "" && typed != "no" }

func (f *Field) count(typed string) (any, string) {
	n, ok := unit.Whole(typed)
	if !ok {
		return nil, fmt.Sprintf("%s is not a whole number. Use digits.", words.Quoted(clip(typed)))
	}
	return n, ""
}

func (f *Field) several(typed []string) (any, string) {
	var list []any
	for _, word := range typed {
		if word = strings.TrimSpace(word); word == "" {
			continue
		}
		if wrong := f.unknown(word); wrong != "" {
			return nil, wrong
		}
		list = append(list, word)
	}
	return something(list), ""
}

// unknown says that a word is none of those to choose from.
func (f *Field) unknown(word string) string {
	if len(f.Words) == 0 || slices.Contains(f.Words, word) {
		return ""
	}
	return fmt.Sprintf("%s is not one of the answers; choose one of: %s.", words.Quoted(clip(word)), strings.Join(f.Words, ", "))
}

// something is a list, or nil if there is nothing in it.
func something(list []any) any {
	if len(list) == 0 {
		return nil
	}
	return list
}

func (r *reader) list(f *Field, name string) any {
	var list []any
	for i := range r.count(name) {
		one := r.typed.Get(fmt.Sprintf("%s.%d", name, i))
		if one == "" {
			continue
		}
		wrong := tooLong(one)
		if wrong == "" {
			wrong = f.misfit(r.kind, []any{one})
		}
		r.row(name, i, wrong)
		list = append(list, one)
	}
	return something(list)
}

// rows reads rows of cells. A row in which nothing was typed is none.
func (r *reader) rows(f *Field, name string) any {
	var list []any
	for i := range r.count(name) {
		row, wrong := f.cells(r.typed, fmt.Sprintf("%s.%d", name, i))
		if len(row) == 0 && wrong == "" {
			continue
		}
		if wrong == "" {
			wrong = f.misfit(r.kind, []any{row})
		}
		r.row(name, i, wrong)
		list = append(list, row)
	}
	return something(list)
}

// row tells what is wrong with a row.
func (r *reader) row(name string, i int, wrong string) {
	if wrong != "" {
		r.wrong.add(name, fmt.Sprintf("Row %d: %s", i+1, wrong))
	}
}

// count returns how many rows were posted, and tells if they are too many:
// none may be lost without a word.
func (r *reader) count(name string) int {
	for posted := range r.typed {
		rest, ok := strings.CutPrefix(posted, name+".")
		number, _, _ := strings.Cut(rest, ".")
		if n, err := strconv.Atoi(number); ok && err == nil && n >= mostRows {
			r.wrong.add(name, fmt.Sprintf("A form holds %d rows; write the rest in another entry.", mostRows))
		}
	}
	return r.typed.rows(name)
}

// cells reads one row, and says what is wrong with the first cell that is.
func (f *Field) cells(v Values, at string) (row object, wrong string) {
	row = object{}
	for j := range f.Cells {
		c := &f.Cells[j]
		value, bad := c.cellValue(v, at+"."+c.Name)
		if value != nil {
			row[c.Name] = value
		}
		if wrong == "" {
			wrong = bad
		}
	}
	if len(row) == 0 || wrong != "" {
		return row, wrong
	}
	for _, c := range f.Cells {
		if c.Required && row[c.Name] == nil {
			return row, c.lacking(row)
		}
	}
	return row, ""
}

// cellValue reads a cell. That of readings holds several of one unit.
func (f *Field) cellValue(v Values, name string) (any, string) {
	if f.Name != "readings" {
		return f.value(v, name)
	}
	var list []any
	for _, typed := range readings(strings.Join(v[name], " ")) {
		if typed = f.writing.Plain(typed); strings.Contains(typed, ",") {
			return nil, fmt.Sprintf("%s has a comma; put a space between two readings, and a point in a decimal such as 7.9.", clip(typed))
		}
		one, wrong := f.quantity(typed, v.Get(name+".unit"))
		if wrong != "" {
			return nil, wrong
		}
		list = append(list, one)
	}
	return something(list), ""
}

// readings splits "82 79 84", "82, 79, 84" and "82 µm 79 µm"; a unit stays
// with its number.
func readings(typed string) []string {
	var list []string
	for _, word := range strings.FieldsFunc(typed, func(r rune) bool { return strings.ContainsRune(" ;\t\n\r", r) }) {
		if word = strings.TrimRight(word, ","); word == "" {
			continue
		}
		if n := len(list); n > 0 && !strings.ContainsAny(word, "0123456789") {
			list[n-1] += " " + word
			continue
		}
		list = append(list, word)
	}
	return list
}

// tooLong says that a text is longer than an entry takes.
func tooLong(typed string) string {
	if n := utf8.RuneCountInString(typed); n > journal.MaxText {
		return fmt.Sprintf("This has %d characters; shorten it to %d.", n, journal.MaxText)
	}
	return ""
}

// clip is the beginning of a text, to stand in a sentence.
func clip(typed string) string {
	const most = 40
	if runes := []rune(typed); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return typed
}
