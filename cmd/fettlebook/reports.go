package main

import (
	"encoding"
	"fmt"
	"io"
	"reflect"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/card"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/journal/recur"
	"fettlebook/journal/route"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/invopop/jsonschema"
)

// reported is what a command prints with --json: of which type it is, and whether it names its
// format itself.
type reported struct {
	of     reflect.Type
	itself bool
}

// reports are all commands that report.
func reports() map[string]reported {
	return map[string]reported{
		"audit":                 {reflect.TypeFor[audit.Report](), true},
		"audit --against":       {reflect.TypeFor[against](), true},
		"backup":                {reflect.TypeFor[backupView](), true},
		"claim":                 {reflect.TypeFor[[]claimView](), false},
		"due":                   {reflect.TypeFor[[]dueRow](), false},
		"figure":                {reflect.TypeFor[map[string]jsontext.Value](), false},
		"holds":                 {reflect.TypeFor[holdsView](), false},
		"hub address":           {reflect.TypeFor[addressView](), false},
		"hub invite":            {reflect.TypeFor[invitedView](), false},
		"hub keys":              {reflect.TypeFor[keysView](), false},
		"hub tablets":           {reflect.TypeFor[[]tabletRow](), false},
		"jobs":                  {reflect.TypeFor[[]jobRow](), false},
		"name":                  {reflect.TypeFor[namedPerson](), false},
		"next":                  {reflect.TypeFor[[]route.Todo](), false},
		"open":                  {reflect.TypeFor[opened](), false},
		"parts":                 {reflect.TypeFor[[]map[string]jsontext.Value](), false},
		"photos show":           {reflect.TypeFor[photosView](), false},
		"record":                {reflect.TypeFor[record.View](), true},
		"record with customers": {reflect.TypeFor[recordView](), false},
		"recur":                 {reflect.TypeFor[recur.Study](), false},
		"route diff":            {reflect.TypeFor[[]card.Change](), false},
		"route facts":           {reflect.TypeFor[[]card.Fact](), false},
		"route list":            {reflect.TypeFor[[]cardRow](), false},
		"schema":                {reflect.TypeFor[[]kindSchema](), false},
		"trace":                 {reflect.TypeFor[traced](), false},
		"verify":                {reflect.TypeFor[evidence.Findings](), true},
		"version":               {reflect.TypeFor[build](), false},
	}
}

// schema is the JSON Schema (2020-12) of a report. More members than it names may come.
func (r reported) schema(of string) *jsonschema.Schema {
	in := jsonschema.Reflector{AllowAdditionalProperties: true, DoNotReference: false, Mapper: leaf}
	body := in.ReflectFromType(r.of)
	title := formatOf(of)
	if !r.itself {
		format := &jsonschema.Schema{Type: "string", Const: title}
		whole := &jsonschema.Schema{Type: "object", Properties: jsonschema.NewProperties(), Required: []string{"format"}, Definitions: body.Definitions}
		whole.Properties.Set("format", format)
		body.Definitions, body.Version = nil, ""
		if r.of.Kind() == reflect.Slice {
			whole.Properties.Set("list", body)
			whole.Required = append(whole.Required, "list")
		} else {
			whole.AllOf = []*jsonschema.Schema{body}
		}
		body = whole
	}
	body.Version, body.ID, body.Title = jsonschema.Version, jsonschema.ID("urn:fettlebook:report:"+of), title
	body.Description = "What `fettlebook " + of + " --json` prints."
	return body
}

// leaf is the schema of a type that writes itself, nil for all others.
func leaf(t reflect.Type) *jsonschema.Schema {
	pointed := reflect.PointerTo(t)
	switch {
	case t == reflect.TypeFor[time.Time]():
		return &jsonschema.Schema{Type: "string", Format: "date-time"}
	case t == reflect.TypeFor[jsontext.Value](), t == reflect.TypeFor[time.Duration](), pointed.Implements(reflect.TypeFor[json.MarshalerTo]()), pointed.Implements(reflect.TypeFor[json.Marshaler]()):
		return &jsonschema.Schema{} // of its own form
	case pointed.Implements(reflect.TypeFor[encoding.TextMarshaler]()), t.Kind() == reflect.Array && t.Elem().Kind() == reflect.Uint8:
		return &jsonschema.Schema{Type: "string"}
	case t == reflect.TypeFor[journal.Payload](), t.Kind() == reflect.Interface:
		return &jsonschema.Schema{}
	}
	return nil
}

func (r reported) printSchema(out io.Writer, of string) error {
	raw, err := json.Marshal(r.schema(of), json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		return fmt.Errorf("write the schema of %s: %w", of, err)
	}
	_, err = fmt.Fprintf(out, "%s\n", raw)
	return err
}
