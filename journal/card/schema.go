package card

import (
	"fmt"
	"reflect"
	"slices"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/invopop/jsonschema"
)

// Schema returns the JSON Schema (2020-12) of a route card, made from the Go
// types that read it. A card in YAML fits it when it is written as JSON.
// [Parse] knows more: that names are not doubled, and what rules may say. The
// bytes are the same on every call.
func Schema() ([]byte, error) {
	r := jsonschema.Reflector{Anonymous: true, DoNotReference: true, FieldNameTag: "yaml", Mapper: leaf}
	schema := r.ReflectFromType(reflect.TypeFor[Card]())
	schema.ID = "urn:fettlebook:schema:route-card"
	schema.Title = "route card"
	schema.Description = "The stages of one kind of work, with the entries and photographs that each wants and its hold points."
	raw, err := json.Marshal(schema, json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		return nil, fmt.Errorf("write the schema of a route card: %w", err)
	}
	return append(raw, '\n'), nil
}

// leaf describes a kind of entry by the list of all.
func leaf(t reflect.Type) *jsonschema.Schema {
	if t != reflect.TypeFor[journal.Kind]() {
		return nil
	}
	s := &jsonschema.Schema{Type: "string", Description: "the kind of an entry"}
	for _, k := range slices.Collect(journal.Kinds()) {
		s.Enum = append(s.Enum, string(k))
	}
	return s
}
