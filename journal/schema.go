package journal

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/invopop/jsonschema"
)

// Schema returns the JSON Schema (2020-12) of the data of a kind, made from
// the Go type that reads it. All that is written here fits it. [ParsePayload]
// knows more: counts that must be at least one, and rules that join fields,
// such as as many readings as times. The bytes are the same on every call.
func Schema(kind Kind) ([]byte, error) {
	s, ok := kind.spec()
	if !ok {
		return nil, fmt.Errorf("%w: the kind %q", ErrUnknownKind, kind)
	}
	t := reflect.TypeOf(s.blank()).Elem()
	schema := reflected(t)
	written := Type{Kind: kind, Version: s.version}
	schema.ID = jsonschema.ID(fmt.Sprintf("urn:fettlebook:schema:%s:%d", kind, s.version))
	schema.Title = written.String()
	schema.Description = "The data of an entry that says: " + s.about + "."
	if len(s.places) > 0 {
		schema.Description += " The entry’s subject is a " + strings.Join(s.places, " or a ") + "."
	}
	for name, most := range map[string]uint64{"photos": MaxPhotos, "parts": MaxParts} {
		if list, ok := schema.Properties.Get(name); ok {
			list.MaxItems = &most
		}
	}
	tighten(schema, t)
	return printed(schema)
}

// EntrySchema returns the JSON Schema (2020-12) of an entry around its data.
func EntrySchema() ([]byte, error) {
	t := reflect.TypeFor[Entry]()
	schema := reflected(t)
	schema.ID = "urn:fettlebook:schema:entry"
	schema.Title = "entry"
	schema.Description = "One entry of a journal: a CloudEvents 1.0 event in JSON. The schema of its data has the name of its type."
	for name, only := range map[string]string{"specversion": "1.0", "datacontenttype": "application/json"} {
		if field, ok := schema.Properties.Get(name); ok {
			field.Const = only
		}
	}
	tighten(schema, t)
	return printed(schema)
}

func printed(schema *jsonschema.Schema) ([]byte, error) {
	raw, err := json.Marshal(schema, json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		return nil, fmt.Errorf("write schema %s: %w", schema.ID, err)
	}
	return append(raw, '\n'), nil
}

func reflected(t reflect.Type) *jsonschema.Schema {
	r := jsonschema.Reflector{
		Anonymous:      true,
		DoNotReference: true,
		Mapper:         leaf,
		// A field's description is that of its type.
		LookupComment: func(holder reflect.Type, name string) string {
			if name == "" {
				return "" // the question is about a type
			}
			field, _ := holder.FieldByName(name)
			if s := leaf(field.Type); s != nil {
				return s.Description
			}
			return ""
		},
	}
	return r.ReflectFromType(t)
}

// tighten adds what empty and within check of texts and lists.
func tighten(s *jsonschema.Schema, t reflect.Type) {
	switch {
	case s.Type == "array":
		tighten(s.Items, t.Elem())
		demand(s.Items)
	case s.Type == "object" && t.Kind() == reflect.Pointer:
		tighten(s, t.Elem())
	case s.Type == "object" && s.Properties != nil:
		for _, field := range reflect.VisibleFields(t) {
			name, required := member(field)
			property, ok := s.Properties.Get(name)
			if !ok || field.Anonymous {
				continue
			}
			if property.Type == "string" && leaf(field.Type) == nil {
				property.MaxLength = most(textCap(t, name))
			}
			tighten(property, field.Type)
			if required {
				demand(property)
			}
		}
	case s.Type == "string" && leaf(t) == nil && s.MaxLength == nil:
		s.MaxLength = most(MaxText)
	}
}

// demand refuses the empty text and the empty list.
func demand(s *jsonschema.Schema) {
	switch {
	case s.Type == "array":
		s.MinItems = most(1)
	case s.Type == "string" && s.Pattern == "" && s.Format == "" && s.Enum == nil && s.Const == nil:
		s.MinLength = most(1)
	}
}

func most(n int) *uint64 { m := uint64(n); return &m }
