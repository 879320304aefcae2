package form_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

func sheet(tb testing.TB, kind journal.Kind) form.Sheet {
	tb.Helper()
	s, err := form.Of(kind)
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

// schema is as much of a kind's JSON Schema as a form must agree with.
type schema struct {
	Type       string            `json:"type"`
	Properties map[string]schema `json:"properties"`
	Required   []string          `json:"required"`
	Items      *schema           `json:"items"`
	Enum       []string          `json:"enum"`
	Pattern    string            `json:"pattern"`
	Format     string            `json:"format"`
	Most       int               `json:"maxLength"`
	Rest       jsontext.Value    `json:",unknown"`
}

// find follows a path.
func (s schema) find(path string) (found schema, required, ok bool) {
	name, rest, deeper := strings.Cut(path, ".")
	p, ok := s.Properties[name]
	if ok && deeper {
		return p.find(rest)
	}
	return p, slices.Contains(s.Required, name), ok
}

// leaves lists the paths of all members that are not objects.
func (s schema) leaves(at string) (paths []string) {
	for name, p := range s.Properties {
		if p.Type == "object" && len(p.Properties) > 0 {
			paths = append(paths, p.leaves(at+name+".")...)
		} else {
			paths = append(paths, at+name)
		}
	}
	return paths
}

func schemaOf(tb testing.TB, kind journal.Kind) (is schema) {
	tb.Helper()
	raw, err := journal.Schema(kind)
	if err != nil {
		tb.Fatal(err)
	}
	if err := json.Unmarshal(raw, &is); err != nil {
		tb.Fatal(err)
	}
	return is
}

// TestFormsFitTheSchemas: every kind has a form or a reason not to, and the
// form has just the fields that the kind's JSON Schema has.
func TestFormsFitTheSchemas(t *testing.T) {
	for kind := range journal.Kinds() {
		s, err := form.Of(kind)
		var none *form.NoForm
		if errors.As(err, &none) {
			if none.Why == "" {
				t.Errorf("%s has neither a form nor a reason not to", kind)
			}
			continue
		}
		is := schemaOf(t, kind)
		for _, f := range s.Fields {
			p, required, ok := is.find(f.Name)
			if !ok {
				t.Errorf("%s has no member %s", kind, f.Name)
			}
			// The schema of a group says what it must have if it is there, and
			// not that a remark without words is none.
			apart := strings.Contains(f.Name, ".") || kind == journal.NoteMade
			if f.Required != required && !apart {
				t.Errorf("%s, %s: required is %v in the form and %v in the schema", kind, f.Name, f.Required, required)
			}
			if f.Label == "" || f.Control == "" {
				t.Errorf("%s, %s has no label or no control", kind, f.Name)
			}
			if len(p.Enum) > 0 && !slices.Equal(p.Enum, f.Words) {
				t.Errorf("%s, %s offers %v, the schema has %v", kind, f.Name, f.Words, p.Enum)
			}
			if f.Control == form.Rows && p.Items != nil {
				for _, c := range f.Cells {
					if _, required, ok := p.Items.find(c.Name); !ok || required != c.Required {
						t.Errorf("%s, %s.%s: in the schema %v, required there %v, here %v", kind, f.Name, c.Name, ok, required, c.Required)
					}
				}
				if len(p.Items.Properties) != len(f.Cells) {
					t.Errorf("%s, %s has %d cells, the schema %d", kind, f.Name, len(f.Cells), len(p.Items.Properties))
				}
			}
		}
		for _, path := range is.leaves("") {
			if path != "photos" && path != "parts" && path != "confirmed" && s.Field(path) == nil {
				t.Errorf("the form of %s lacks %s", kind, path)
			}
		}
	}
	if _, err := form.Of("bore.polished"); err == nil {
		t.Error("there is a form for a kind that nobody knows")
	}
}

// TestView: ids are unique, what is wrong and what helps is described, the
// first unit is chosen until another is, and a thing that is not on the shelf
// stays chosen.
func TestView(t *testing.T) {
	for kind := range journal.Kinds() {
		s, err := form.Of(kind)
		if err != nil {
			continue
		}
		seen := map[string]bool{}
		v := s.View(form.Values{}, form.Problems{"note": "Fill this in."}, form.Known{})
		if !v.Open && kind != journal.NoteMade {
			t.Errorf("%s hides the field with a problem", kind)
		}
		all := slices.Concat(v.Fields, v.More)
		for _, f := range all {
			for _, row := range f.Grid {
				all = append(all, row.Cells...)
			}
		}
		for _, f := range all {
			if seen[f.ID] || strings.ContainsAny(f.ID, " .<>&'\"") {
				t.Errorf("%s has two fields with the id %s, or it cannot stand in a page", kind, f.ID)
			}
			seen[f.ID] = true
			if f.Control == form.Quantity && (f.Unit != f.Units[0] || f.Step <= 0) {
				t.Errorf("%s, %s: the unit %q is chosen, a press is %g", kind, f.Name, f.Unit, f.Step)
			}
			if f.Name == "note" && f.Describe != f.ID+"-wrong" {
				t.Errorf("%s: the remark is described by %q", kind, f.Describe)
			}
		}
	}
	known := form.Known{Pick: map[string][]form.Option{"torque tool": {{Value: "tw-1", Say: "tw-1"}}}}
	for _, typed := range []form.Values{{"tool": {"tw-9"}, "torque": {"80lbf.ft"}, "torque.unit": {"N.m"}}, {"tool": {"tw-9"}, "torque": {"80"}, "torque.unit": {"lbf.ft"}}} {
		v := sheet(t, journal.TorqueApplied).View(typed, nil, known)
		for _, f := range v.Fields {
			if f.Name == "tool" && (len(f.Options) != 2 || !f.Options[1].On || f.Options[1].Value != "tw-9") {
				t.Errorf("got %+v", f.Options)
			}
			if f.Name == "torque" && (!f.Chosen("lbf.ft") || !slices.Equal(f.Units, []string{"N·m", "lbf.ft", "lb·in"})) {
				t.Errorf("%v shows the unit %s", typed, f.Unit)
			}
		}
	}
}
