package form

import (
	"errors"
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// missing says that a field must be filled in.
func (f *Field) missing() string {
	switch f.Control {
	case Choice, Pick, Refer, YesNo:
		return "Choose one."
	case List, Rows:
		return "Give at least one."
	case Keep:
		return "This page no longer knows what it is about. Open it again."
	default:
		return "Fill this in."
	}
}

// lacking asks for a cell of a row, of which another says what it is.
func (f *Field) lacking(row object) string {
	if what, ok := row["what"].(string); ok && f.Control == Count {
		return fmt.Sprintf("%s: %s?", f.Label, what)
	}
	return fmt.Sprintf("Fill in “%s” too.", f.Label)
}

// misfit says why a value is not what the kind takes here, whatever the other
// fields hold.
func (f *Field) misfit(kind journal.Kind, value any) string {
	data := object{}
	put(data, f.Name, value)
	raw, err := json.Marshal(data)
	if err != nil {
		return "This holds something that is not text; type it again."
	}
	err = json.Unmarshal(raw, kind.Blank())
	var amount *unit.Error
	var other *json.SemanticError
	switch {
	case err == nil:
		return beyond(kind, raw)
	case errors.As(err, &amount):
		return refusal(amount)
	case errors.As(err, &other) && other.Err != nil:
		return words.Sentence(other.Err.Error())
	default:
		return "This is not in the expected format."
	}
}

// beyond says of the first figure that cannot lie where it does, and is "" if all can.
// What is missing of the kind is not its business.
func beyond(kind journal.Kind, raw []byte) string {
	_, err := journal.ParseTyped(kind, raw)
	var bad *journal.Invalid
	if !errors.As(err, &bad) {
		return ""
	}
	for _, p := range bad.Problems {
		if p.Code == journal.OutOfBounds {
			return words.Sentence(p.Say)
		}
	}
	return ""
}

// refusal is the sentence about a quantity.
func refusal(amount *unit.Error) string {
	if amount.Spelled {
		return amount.Problem + "."
	}
	return words.Sentence(amount.Problem)
}

// place puts the sentences of a refusal to the fields that they are about.
// That something is missing is said where nothing else is wrong.
func (s Sheet) place(err error, p Problems) {
	var bad *journal.Invalid
	if !errors.As(err, &bad) {
		p.add("", words.Sentence(err.Error()))
		return
	}
	var missing []*Field
	for _, problem := range bad.Problems {
		f := s.within(problem.Path)
		switch {
		case f == nil:
			p.add("", words.Sentence(problem.String()))
		case problem.Code == journal.Missing:
			missing = append(missing, f)
		case problem.Code == journal.OutOfBounds:
			p.add(f.Name, words.Sentence(problem.Say))
		case problem.String() == problem.Say: // a sentence of its own
			p.add(f.Name, words.Sentence(problem.Say))
		default:
			p.add(f.Name, words.Sentence("this "+problem.Say))
		}
	}
	for _, f := range missing {
		if !f.Required && strings.Contains(f.Name, ".") {
			p.add(f.Name, "Complete this, or clear the fields that go with it.")
		}
		p.add(f.Name, f.missing())
	}
}

// within is the field of a path in the data: the path's own, that whose rows
// it lies in, or the first of a group that it names.
func (s Sheet) within(path string) *Field {
	if path == "" {
		return nil
	}
	if f := s.Field(path); f != nil {
		return f
	}
	for i := range s.Fields {
		if f := &s.Fields[i]; strings.HasPrefix(path, f.Name+".") || strings.HasPrefix(f.Name, path+".") {
			return f
		}
	}
	return nil
}
