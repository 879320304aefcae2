package form

import (
	"errors"
	"fmt"
	"github.com/go-json-experiment/json/jsontext"
	"strconv"
	"strings"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// object is data while it is put together: texts, numbers, yes and no, lists
// and objects.
type object = map[string]any

// Data makes the data of the kind out of what was typed, everything as typed:
// "80 lbf.ft" stays "80 lbf.ft". All that is wrong is told at once, each at
// its field; the data is nil then.
func (s Sheet) Data(v Values) (jsontext.Value, Problems) {
	p := Problems{}
	data := object{}
	for i := range s.Fields {
		f := &s.Fields[i]
		value := f.read(v, f.Name, p)
		if value == nil {
			if f.Required {
				p.add(f.Name, f.missing())
			}
			continue
		}
		if one := s.alone(f, value); one != "" {
			p.add(f.Name, one)
			continue
		}
		put(data, f.Name, value)
	}
	if len(p) > 0 {
		return nil, p
	}
	raw, err := json.Marshal(data, json.Deterministic(true))
	if err != nil {
		return nil, Problems{"": "Something in it is no text; type it again."}
	}
	if _, err := journal.ParsePayload(journal.Type{Kind: s.Kind, Version: s.Kind.Version()}, raw); err != nil {
		return nil, s.place(err)
	}
	return raw, nil
}

// put sets a path in the data.
func put(data object, path string, value any) {
	name, rest, deeper := strings.Cut(path, ".")
	if !deeper {
		data[name] = value
		return
	}
	within, ok := data[name].(object)
	if !ok {
		within = object{}
		data[name] = within
	}
	put(within, rest, value)
}

// missing says that a field must be filled in.
func (f *Field) missing() string {
	switch f.Control {
	case Choice, Pick, Refer, YesNo:
		return "Choose one."
	case List, Rows:
		return "Give at least one."
	default:
		return "Fill this in."
	}
}

// read makes the JSON value of a field, or nil if nothing was typed.
func (f *Field) read(v Values, name string, p Problems) any {
	typed := v.Get(name)
	switch f.Control {
	case Quantity:
		return f.readQuantity(typed, v.Get(name+".unit"), name, p)
	case Count:
		if typed == "" {
			return nil
		}
		n, err := strconv.Atoi(typed)
		switch {
		case err != nil:
			p.add(name, fmt.Sprintf("%q is no whole number.", typed))
		case float64(n) < f.Least:
			p.add(name, fmt.Sprintf("It must be at least %g.", f.Least))
		default:
			return n
		}
		return nil
	case YesNo:
		switch typed {
		case "yes":
			return true
		case "no":
			return false
		}
		return nil
	case Tick:
		if typed == "" {
			return nil
		}
		return true
	case Several:
		return f.readSeveral(v[name])
	case List:
		return f.readList(v, name)
	case Rows:
		return f.readRows(v, name, p)
	case Keep:
		if n, err := strconv.Atoi(typed); err == nil {
			return n
		}
	}
	if typed == "" {
		return nil
	}
	return typed
}

func (f *Field) readSeveral(ticked []string) any {
	var list []any
	for _, word := range ticked {
		if word = strings.TrimSpace(word); word != "" {
			list = append(list, word)
		}
	}
	return something(list)
}

func (f *Field) readList(v Values, name string) any {
	var list []any
	for i := range v.rows(&Field{Name: name}) {
		if one := v.Get(fmt.Sprintf("%s.%d", name, i)); one != "" {
			list = append(list, one)
		}
	}
	return something(list)
}

// something is a list, or nil if there is nothing in it.
func something(list []any) any {
	if len(list) == 0 {
		return nil
	}
	return list
}

// readRows reads rows of cells. A row in which nothing was typed is none.
func (f *Field) readRows(v Values, name string, p Problems) any {
	var list []any
	for i := range v.rows(&Field{Name: name}) {
		at := fmt.Sprintf("%s.%d", name, i)
		row, wrong := object{}, Problems{}
		for j := range f.Cells {
			c := &f.Cells[j]
			if value := c.readCell(v, at+"."+c.Name, wrong); value != nil {
				row[c.Name] = value
			}
		}
		if len(row) == 0 && len(wrong) == 0 {
			continue
		}
		for _, c := range f.Cells {
			if wrong[at+"."+c.Name] == "" && row[c.Name] == nil && c.Required {
				wrong.add(at+"."+c.Name, c.Label+" is missing.")
			}
			if say := wrong[at+"."+c.Name]; say != "" {
				p.add(name, fmt.Sprintf("Row %d: %s", i+1, say))
			}
		}
		list = append(list, row)
	}
	return something(list)
}

// readCell reads a cell. That of readings holds several of one unit.
func (c *Field) readCell(v Values, name string, p Problems) any {
	if c.Name != "readings" {
		return c.read(v, name, p)
	}
	var list []any
	for _, typed := range readings(v.Get(name)) {
		if q := c.readQuantity(typed, v.Get(name+".unit"), name, p); q != nil {
			list = append(list, q)
		}
	}
	return something(list)
}

// readings splits "82 79 84" and "82 µm 79 µm"; a unit stays with its number.
func readings(typed string) []string {
	var list []string
	for _, word := range strings.FieldsFunc(typed, func(r rune) bool { return r == ' ' || r == ';' || r == '\t' }) {
		if n := len(list); n > 0 && !strings.ContainsAny(word, "0123456789") {
			list[n-1] += " " + word
			continue
		}
		list = append(list, word)
	}
	return list
}

// alone says what is wrong with one field's value, whatever the others are.
func (s Sheet) alone(f *Field, value any) string {
	data := object{}
	put(data, f.Name, value)
	raw, err := json.Marshal(data)
	if err != nil {
		return "This holds something that is no text; type it again."
	}
	err = json.Unmarshal(raw, s.Kind.Blank())
	var wrong *json.SemanticError
	switch {
	case err == nil:
		return ""
	case errors.As(err, &wrong) && wrong.Err != nil:
		return capital(wrong.Err.Error())
	default:
		return "This is not what belongs here."
	}
}

// place finds the fields that a refusal is about.
func (s Sheet) place(err error) Problems {
	p := Problems{}
	var bad *journal.Invalid
	if !errors.As(err, &bad) {
		p[""] = capital(err.Error())
		return p
	}
	for _, problem := range bad.Problems {
		p.add(s.about(problem), capital(problem))
	}
	return p
}

// about is the field that a sentence names, "" if it names none.
func (s Sheet) about(problem string) string {
	best := ""
	for _, f := range s.Fields {
		for word := range strings.FieldsFuncSeq(problem, func(r rune) bool { return strings.ContainsRune(" ,:;[]", r) }) {
			if (word == f.Name || strings.HasPrefix(word, f.Name+".")) && len(f.Name) > len(best) {
				best = f.Name
			}
		}
	}
	return best
}

// capital makes a sentence out of a clause.
func capital(clause string) string {
	if clause == "" {
		return ""
	}
	first := strings.ToUpper(clause[:1])
	if strings.HasSuffix(clause, ".") || strings.HasSuffix(clause, "?") {
		return first + clause[1:]
	}
	return first + clause[1:] + "."
}
