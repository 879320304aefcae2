package card_test

import (
	"bytes"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// fits holds a card's text against the schema, with another's validator.
func fits(tb testing.TB, text string) error {
	tb.Helper()
	raw, err := card.Schema()
	if err != nil {
		tb.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		tb.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("card.json", doc); err != nil {
		tb.Fatal(err)
	}
	schema, err := c.Compile("card.json")
	if err != nil {
		tb.Fatal(err)
	}
	asJSON, err := yaml.YAMLToJSON([]byte(text))
	if err != nil {
		tb.Fatal(err)
	}
	written, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
	if err != nil {
		tb.Fatal(err)
	}
	return schema.Validate(written)
}

func TestSchema(t *testing.T) {
	for _, name := range []string{"caliper", "arm"} {
		if err := fits(t, supplied(t, journal.RouteID(name)).Text()); err != nil {
			t.Errorf("the card %s does not fit the schema: %v", name, err)
		}
	}
	good := supplied(t, "arm").Text()
	for what, bad := range map[string]string{
		"a field that there is not": strings.Replace(good, "edition: 1", "edition: 1\ncolour: red", 1),
		"another class":             strings.Replace(good, "class: safety", "class: legal", 1),
		"no rule":                   strings.Replace(good, "rule: part.mask.done && part.mask.covered", "", 1),
		"an unknown kind":           strings.Replace(good, "road.tested", "road.rolled", 1),
		"an edition in words":       strings.Replace(good, "edition: 1", "edition: one", 1),
	} {
		if bad == good {
			t.Fatalf("%s: the card was not changed", what)
		}
		if fits(t, bad) == nil {
			t.Errorf("%s fits the schema", what)
		}
		if _, err := card.Parse(bad); err == nil {
			t.Errorf("%s: the card was read", what)
		}
	}
}
