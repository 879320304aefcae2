package form

import (
	"strings"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// object is data while it is put together: texts, numbers, yes and no, lists
// and objects.
type object = map[string]any

// Data makes the data of the kind out of what was typed, everything as typed:
// "80 lbf.ft" stays "80 lbf.ft". All that is wrong is told at once, each at
// its field; the data is nil then.
func (s Sheet) Data(v Values) (jsontext.Value, Problems) {
	r := reader{kind: s.Kind, typed: v, wrong: Problems{}}
	data := object{}
	for i := range s.Fields {
		f := &s.Fields[i]
		value := r.read(f, f.Name)
		switch {
		case r.wrong[f.Name] != "":
		case value != nil:
			put(data, f.Name, value)
		case f.Required:
			r.wrong.add(f.Name, f.missing())
		}
	}
	raw, err := json.Marshal(data, json.Deterministic(true))
	if err != nil {
		return nil, Problems{"": "Something in it is not text; type it again."}
	}
	// What is right so far is checked too, so that one mistake does not hide
	// another; what is told at a field already is not told again.
	if _, err := journal.ParseTyped(s.Kind, raw); err != nil {
		s.place(err, r.wrong)
	}
	if len(r.wrong) > 0 {
		return nil, r.wrong
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
