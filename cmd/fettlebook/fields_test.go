package main

import (
	"errors"
	"maps"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// Whatever a sample of a kind holds can be typed as FIELD=VALUE.
func TestEverySampleCanBeTyped(t *testing.T) {
	for _, sample := range journaltest.Samples() {
		kind := sample.Data.Kind()
		raw, err := journal.MarshalPayload(sample.Data)
		if err != nil {
			t.Fatal(err)
		}
		var data map[string]jsontext.Value
		if err := json.Unmarshal(raw, &data); err != nil {
			t.Fatal(err)
		}
		delete(data, photosField)
		f, err := newForm(kind)
		if err != nil {
			t.Fatal(err)
		}
		for _, typed := range assignments(t, "", data) {
			if err := f.set(typed); err != nil {
				t.Errorf("%s: %s: %v", kind, typed, err)
			}
		}
		got, err := f.encode()
		if err != nil {
			t.Fatal(err)
		}
		var back map[string]jsontext.Value
		if err := json.Unmarshal(got, &back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(plainly(t, data), plainly(t, back)); diff != "" {
			t.Errorf("%s (-sample +typed):\n%s", kind, diff)
		}
	}
}

// assignments types data as a person would: texts as they are, objects field
// by field, lists one by one.
func assignments(t *testing.T, at string, data map[string]jsontext.Value) []string {
	var all []string
	for _, name := range slices.Sorted(maps.Keys(data)) {
		path, value := at+name, data[name]
		var inner map[string]jsontext.Value
		var list []jsontext.Value
		switch {
		case name == "data" || value.Kind() != '{' && value.Kind() != '[':
			all = append(all, path+"="+typed(t, value))
		case json.Unmarshal(value, &inner) == nil:
			all = append(all, assignments(t, path+".", inner)...)
		case json.Unmarshal(value, &list) == nil:
			for _, one := range list {
				all = append(all, path+"[]="+typed(t, one))
			}
		}
	}
	return all
}

func typed(t *testing.T, value jsontext.Value) string {
	if value.Kind() != '"' {
		return string(value)
	}
	text, err := jsontext.AppendUnquote(nil, value)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func plainly(t *testing.T, data any) any {
	raw, err := json.Marshal(data)
	if err != nil {
		t.Fatal(err)
	}
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// Whatever is typed gives JSON, or a refusal that names the kind.
func FuzzSet(f *testing.F) {
	for _, seed := range []string{"torque=27 N.m", "adapter.angle=90", "adapter={", "count=two", "joint[]=x", "=", "a.b.c=1", "joint=\xff", "note=\u202e"} {
		f.Add(seed, "marked=true")
	}
	f.Fuzz(func(t *testing.T, one, two string) {
		form, err := newForm(journal.TorqueApplied)
		if err != nil {
			t.Fatal(err)
		}
		for _, typed := range []string{one, two} {
			var invalid *journal.Invalid
			if err := form.set(typed); err != nil && (!errors.As(err, &invalid) || invalid.Kind != journal.TorqueApplied) {
				t.Errorf("%q: %v is not a refusal of the kind", typed, err)
			}
		}
		if raw, err := form.encode(); err != nil || !raw.IsValid() {
			t.Errorf("%q, %q: %s, %v", one, two, raw, err)
		}
	})
}

// distance is a metric, and one slip of the finger is 1.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"FB204", "FB205", 1}, {"FB204", "FB24", 1}, {"kitten", "sitting", 3}, {"", "abc", 3}} { // kitten: the textbook's example
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("distance(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOfN(rapid.RuneFrom([]rune("abc")), 0, 8, -1)
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		switch ab := distance(a, b); {
		case ab != distance(b, a):
			t.Fatalf("from %q to %q is not as far as back", a, b)
		case (ab == 0) != (a == b):
			t.Fatalf("%q and %q are %d apart", a, b, ab)
		case ab > distance(a, c)+distance(c, b):
			t.Fatalf("from %q to %q is shorter over %q", a, b, c)
		}
	})
}

// A whole number may have something between its thousands; what could be a decimal is
// left to the journal, which refuses it.
func TestCountsOnTheCommandLine(t *testing.T) {
	for typed, want := range map[string]string{"4": "4", "1 200": "1200", "1,200,000": "1200000", "1.200": "1.200", "1,200": `"1,200"`, "2.5": "2.5", "two": `"two"`} {
		f, err := newForm(journal.VehicleRaised)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.set("stands=" + typed); err != nil {
			t.Fatal(err)
		}
		if got, err := f.encode(); err != nil || string(got) != `{"stands":`+want+`}` {
			t.Errorf("stands=%s became %s, %v; want %s", typed, got, err, want)
		}
	}
}
