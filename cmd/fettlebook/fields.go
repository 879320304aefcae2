package main

import (
	"fmt"
	"strconv"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// shape is what the JSON Schema of a kind says of its data, or of a part of it.
type shape struct {
	Type        string   `json:"type"`
	Format      string   `json:"format"`
	Description string   `json:"description"`
	Examples    []string `json:"examples"`
	Enum        []string `json:"enum"`
	Units       []string `json:"units"` // of a quantity, in every spelling
	Items       *shape   `json:"items"`
	Properties  members  `json:"properties"`
	Required    []string `json:"required"`
}

// member is one field of an object.
type member struct {
	Name string
	shape
}

// members are the fields of an object in the order of the schema.
type members []member

// UnmarshalJSONFrom keeps the order, which a map would lose.
func (m *members) UnmarshalJSONFrom(in *jsontext.Decoder) error {
	if _, err := in.ReadToken(); err != nil {
		return err
	}
	for in.PeekKind() != '}' {
		name, err := in.ReadToken()
		if err != nil {
			return err
		}
		one := member{Name: name.String()}
		if err := json.UnmarshalDecode(in, &one.shape); err != nil {
			return err
		}
		*m = append(*m, one)
	}
	_, err := in.ReadToken()
	return err
}

func (s *shape) find(name string) *shape {
	for i := range s.Properties {
		if s.Properties[i].Name == name {
			return &s.Properties[i].shape
		}
	}
	return nil
}

// names lists the fields for the sentence of a refusal.
func (s *shape) names() string {
	var list []string
	for _, m := range s.Properties {
		if m.Name != photosField {
			list = append(list, m.Name)
		}
	}
	return strings.Join(list, ", ")
}

func shapeOf(kind journal.Kind) (*shape, error) {
	raw, err := journal.Schema(kind)
	if err != nil {
		return nil, err
	}
	s := new(shape)
	if err := json.Unmarshal(raw, s); err != nil {
		return nil, fmt.Errorf("read the schema of %s: %w", kind, err)
	}
	return s, nil
}

// form is the data of an entry while it is filled in, field by field: objects
// are maps, lists are []jsontext.Value, all else is a jsontext.Value.
type form struct {
	kind  journal.Kind
	shape *shape
	data  map[string]any
}

func newForm(kind journal.Kind) (*form, error) {
	s, err := shapeOf(kind)
	if err != nil {
		return nil, err
	}
	return &form{kind: kind, shape: s, data: make(map[string]any)}, nil
}

// encode returns the data as JSON.
func (f *form) encode() (jsontext.Value, error) {
	raw, err := json.Marshal(f.data, json.Deterministic(true))
	if err != nil {
		return nil, fmt.Errorf("encode %s: %w", f.kind, err)
	}
	return raw, nil
}

// set fills in FIELD=VALUE. The field may be a path (vehicle.plate), and a
// list grows by one with every field[]=value or field=value. A text is taken
// as it is; a number, a yes/no, an object and a whole list are JSON.
func (f *form) set(assignment string) error {
	path, value, ok := strings.Cut(assignment, "=")
	if !ok || path == "" {
		return f.refuse("", journal.WhatUnknown, "%q is not of the form FIELD=VALUE; the fields are %s", assignment, f.shape.names())
	}
	path, one := strings.CutSuffix(path, "[]")
	names := strings.Split(path, ".")
	if names[0] == photosField {
		return f.refuse("", journal.NotAllowed, "photographs are given as files, with --photo")
	}
	in, at := f.data, f.shape
	for i, name := range names {
		here := strings.Join(names[:i+1], ".")
		next := at.find(name)
		switch {
		case next == nil:
			return f.refuse(here, journal.UnknownField, "is not known; the fields %sare %s", within(names[:i]), at.names())
		case i == len(names)-1:
			return f.fill(in, here, name, next, value, one)
		case len(next.Properties) == 0:
			return f.refuse(here, journal.WrongShape, "has no fields of its own; give it as a whole, %s=…", here)
		}
		deeper, isForm := in[name].(map[string]any)
		switch {
		case in[name] == nil:
			deeper = make(map[string]any)
			in[name] = deeper
		case !isForm:
			return f.twice(here)
		}
		in, at = deeper, next
	}
	return nil
}

func within(path []string) string {
	if len(path) == 0 {
		return ""
	}
	return "of " + strings.Join(path, ".") + " "
}

// fill sets one field, or lets a list grow.
func (f *form) fill(in map[string]any, path, name string, s *shape, text string, one bool) error {
	if s.Type != "array" {
		if one {
			return f.refuse(path, journal.WrongShape, "is not a list; write %s=%s", path, text)
		}
		if in[name] != nil {
			return f.twice(path)
		}
		value, err := f.literal(path, s, text)
		if err == nil {
			in[name] = value
		}
		return err
	}
	list, _ := in[name].([]jsontext.Value)
	if whole := jsontext.Value(text); !one && whole.Kind() == '[' && whole.IsValid() {
		var elements []jsontext.Value
		if err := json.Unmarshal(whole, &elements); err != nil {
			return fmt.Errorf("read %s: %w", path, err)
		}
		in[name] = append(list, elements...)
		return nil
	}
	value, err := f.literal(path, s.Items, text)
	if err == nil {
		in[name] = append(list, value)
	}
	return err
}

// literal writes what was typed as JSON. What should be JSON and is not
// becomes a text, and the decoder says what the field must be.
func (f *form) literal(path string, s *shape, text string) (jsontext.Value, error) {
	if n, ok := unit.Whole(text); ok && s.Type == "integer" {
		return jsontext.Value(strconv.Itoa(n)), nil
	}
	if s.Type != "string" {
		if v := jsontext.Value(text); v.IsValid() {
			return v, nil
		}
	}
	quoted, err := jsontext.AppendQuote(nil, text)
	if err != nil {
		return nil, f.refuse(path, journal.NotText, "holds bytes that are not text; set the terminal to UTF-8 and type it again")
	}
	return quoted, nil
}

func (f *form) twice(path string) error {
	return f.refuse(path, journal.Twice, "is given twice; keep one of them")
}

func (f *form) refuse(path string, code journal.Code, format string, args ...any) error {
	return &journal.Invalid{Kind: f.kind, Problems: []journal.Problem{{Path: path, Code: code, Say: fmt.Sprintf(format, args...)}}}
}
