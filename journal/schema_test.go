package journal_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// compiled compiles a schema with an independent implementation, which also
// checks it against the meta-schema it names.
func compiled(t testing.TB, raw []byte, err error) *jsonschema.Schema {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("urn:test", decoded(t, raw)); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("urn:test")
	if err != nil {
		t.Fatalf("%v in\n%s", err, raw)
	}
	if s.DraftVersion != 2020 {
		t.Fatalf("the schema is of draft %d", s.DraftVersion)
	}
	return s
}

func decoded(t testing.TB, raw []byte) any {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func schemaOf(t testing.TB, kind journal.Kind) *jsonschema.Schema {
	t.Helper()
	raw, err := journal.Schema(kind)
	return compiled(t, raw, err)
}

func TestSamplesFitTheirSchema(t *testing.T) {
	raw, err := journal.EntrySchema()
	envelope := compiled(t, raw, err)
	for _, d := range slices.Concat(journaltest.Samples(), journaltest.Minimal()) {
		raw, err := journaltest.Golden(d)
		if err != nil {
			t.Fatal(err)
		}
		if err := envelope.Validate(decoded(t, raw)); err != nil {
			t.Errorf("%s: %v", d.Data.Kind(), err)
		}
		data, err := journal.MarshalPayload(d.Data)
		if err != nil {
			t.Fatal(err)
		}
		if err := schemaOf(t, d.Data.Kind()).Validate(decoded(t, data)); err != nil {
			t.Errorf("%s: %v", d.Data.Kind(), err)
		}
	}
}

func TestSchemasAreTheSameEveryTime(t *testing.T) {
	for kind := range journal.Kinds() {
		first, err := journal.Schema(kind)
		if err != nil {
			t.Fatal(err)
		}
		for range 3 {
			again, err := journal.Schema(kind)
			if err != nil || !bytes.Equal(again, first) {
				t.Fatalf("%s: the schema changes from call to call (%v)", kind, err)
			}
		}
		var s struct{ Title, Description string }
		if err := json.Unmarshal(first, &s); err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(s.Title, string(kind)) || !strings.Contains(s.Description, kind.About()) {
			t.Errorf("%s is titled %q and described as %q", kind, s.Title, s.Description)
		}
	}
}

func TestSchemaOfUnknownKind(t *testing.T) {
	if _, err := journal.Schema("wheel.invented"); !errors.Is(err, journal.ErrUnknownKind) {
		t.Errorf("got %v", err)
	}
}

// Whatever is broken in a sample, the schema and the decoder both refuse it.
func TestSchemaAndDecoderRefuseTheSame(t *testing.T) {
	for _, d := range journaltest.Samples() {
		kind := d.Data.Kind()
		t.Run(string(kind), func(t *testing.T) {
			schema := schemaOf(t, kind)
			good, err := journal.MarshalPayload(d.Data)
			if err != nil {
				t.Fatal(err)
			}
			for name, bad := range broken(t, good, schema) {
				raw, err := json.Marshal(bad)
				if err != nil {
					t.Fatal(err)
				}
				if err := schema.Validate(decoded(t, raw)); err == nil {
					t.Errorf("%s: the schema takes %s", name, raw)
				}
				var invalid *journal.Invalid
				if _, err := journal.ParsePayload(journal.Type{Kind: kind, Version: kind.Version()}, raw); !errors.As(err, &invalid) {
					t.Errorf("%s: the decoder gives %v for %s", name, err, raw)
				}
			}
		})
	}
}

// broken returns copies of a payload with one thing wrong in each.
func broken(t *testing.T, good []byte, s *jsonschema.Schema) map[string]map[string]any {
	t.Helper()
	var data map[string]any
	if err := json.Unmarshal(good, &data); err != nil {
		t.Fatal(err)
	}
	all := map[string]map[string]any{}
	change := func(name string, f func(map[string]any)) {
		c := maps.Clone(data)
		f(c)
		all[name] = c
	}
	change("unknown member", func(c map[string]any) { c["invented"] = "x" })
	change("too many photos", func(c map[string]any) {
		c["photos"] = slices.Repeat(data["photos"].([]any), journal.MaxPhotos+1)
	})
	change("photo without a thumbnail", func(c map[string]any) {
		photo := maps.Clone(data["photos"].([]any)[0].(map[string]any))
		delete(photo, "thumb")
		c["photos"] = []any{photo}
	})
	for _, field := range s.Required {
		change("without "+field, func(c map[string]any) { delete(c, field) })
	}
	for field, value := range data {
		change("other case of "+field, func(c map[string]any) {
			delete(c, field)
			c[strings.ToUpper(field[:1])+field[1:]] = value
		})
		change(field+" is null", func(c map[string]any) { c[field] = nil })
		change(field+" is of another type", func(c map[string]any) {
			switch value.(type) {
			case string, bool:
				c[field] = 7
			default:
				c[field] = "x"
			}
		})
		if _, ok := value.(string); ok {
			change(field+" is too long", func(c map[string]any) { c[field] = strings.Repeat("x", journal.MaxEntryBytes+1) })
		}
		if list, ok := value.([]any); ok {
			change(field+" holds a number", func(c map[string]any) { c[field] = append(slices.Clip(list), 7) })
			if slices.Contains(s.Required, field) {
				change(field+" is an empty list", func(c map[string]any) { c[field] = []any{} })
			}
		}
	}
	return all
}

// Words, quantities and names of each sort, as a schema and as a decoder see
// them. The bad value takes the place of the sample's.
func TestSchemaAndDecoderAgreeOnValues(t *testing.T) {
	for _, c := range []struct {
		kind  journal.Kind
		field string
		bad   []any
		good  []any
	}{
		{journal.TorqueApplied, "torque",
			[]any{"27", "27,5 N.m", "27 °C", "N.m", "27 nm", "1e2 N.m", ".5 N.m", "27 N.m or so", "105 110 N.m"},
			[]any{"27N.m", "27 N.m", "27\u00a0N·m", "19.9 lbf·ft", "+27 Nm", "20 ft-lbs", "2.7 daN·m", "3 kgf·m"}},
		{journal.TorqueApplied, "tool", []any{"", "a b", "-x", "a/b", "ä", strings.Repeat("x", 41)}, []any{"tw-1", "8.B_c", strings.Repeat("x", 40)}},
		{journal.TorqueApplied, "pattern", []any{"", "Star", "round"}, []any{"star", "in turn"}},
		{journal.TorqueApplied, "joint", []any{"", strings.Repeat("ö", 4001)}, []any{strings.Repeat("ö", 4000)}},
		{journal.TorqueApplied, "count", []any{"2", 2.5}, []any{1}},
		{journal.VehicleReceived, "odometer", []any{"84 21 km", "084 210 km", "84  210 km", "84,210 km", "84210"},
			[]any{"52300 mi", "84 210 km", "84\u202f210\u00a0km", "1 284 210.5 km", "39 000 miles"}},
		{journal.BakeStarted, "set", []any{"200", "200°", "200 deg", "200 K"}, []any{"392 °F", "200 degC"}},
		{journal.BakeStarted, "parts", []any{[]any{"job/x/part"}, []any{""}}, []any{[]any{"job/x/corner/NC/part/cover"}}},
		{journal.ProbeLogged, "seconds", []any{"", "0  60 120 180 240 300", "0 60 120 180 240 x", "0 60 120 180 240 1e2", "0 60 120 180 240 .5"}, []any{"-1 0 1 2.25 3 4"}},
		{journal.ProbeLogged, "begun", []any{"", "2026-03-02", "2026-03-02 10:04:00Z", "yesterday"}, []any{"2026-03-02T10:04:00Z", "2026-03-02T10:04:00.5+01:00"}},
		{journal.ProbeLogged, "file", []any{"x", "sha256:00", "md5:" + strings.Repeat("0", 64), "sha256:" + strings.Repeat("A", 64)}, []any{"sha256:" + strings.Repeat("a", 64)}},
		{journal.PhotoWithdrawn, "photo", []any{"", "sha256:00", "sha256:" + strings.Repeat("A", 64)}, []any{"sha256:" + strings.Repeat("a", 64)}},
		{journal.PowderReceived, "use_by", []any{"", "2026-13-01", "2026-02-30", "02.03.2026"}, []any{"2028-02-29"}},
		{journal.ReworkDecided, "of", []any{"", "1", "0195a3c1-7e40-4001-9c3a-5d1f0a6b7c8d", "{0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d}", "0195a3c17e4070019c3a5d1f0a6b7c8d"}, []any{"0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d"}},
		{journal.RoutePublished, "text", []any{"", strings.Repeat("x", 64001)}, []any{strings.Repeat("x", 64000)}},
		{journal.VehicleReceived, "found", []any{[]any{""}, []any{strings.Repeat("x", 4001)}}, []any{[]any{"scratch"}}},
		{journal.EntryCorrected, "data", []any{"x", []any{}, 1}, []any{map[string]any{"a": 1}}},
	} {
		schema := schemaOf(t, c.kind)
		try := func(value any) (error, error) {
			raw, err := journal.MarshalPayload(journaltest.Sample(c.kind).Data)
			if err != nil {
				t.Fatal(err)
			}
			var data map[string]any
			if err := json.Unmarshal(raw, &data); err != nil {
				t.Fatal(err)
			}
			data[c.field] = value
			if raw, err = json.Marshal(data); err != nil {
				t.Fatal(err)
			}
			_, err = journal.ParsePayload(journal.Type{Kind: c.kind, Version: c.kind.Version()}, raw)
			return schema.Validate(decoded(t, raw)), err
		}
		for _, value := range c.bad {
			if bySchema, byDecoder := try(value); bySchema == nil || byDecoder == nil {
				t.Errorf("%s %s %.60q: the schema gives %v, the decoder %v", c.kind, c.field, value, bySchema, byDecoder)
			}
		}
		for _, value := range c.good {
			if bySchema, byDecoder := try(value); bySchema != nil || byDecoder != nil {
				t.Errorf("%s %s %.60q: the schema gives %v, the decoder %v", c.kind, c.field, value, bySchema, byDecoder)
			}
		}
	}
}
