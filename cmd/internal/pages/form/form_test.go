package form_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"
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

// leaves lists the paths of all members that are no objects.
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
		raw, err := journal.Schema(kind)
		if err != nil {
			t.Fatal(err)
		}
		var is schema
		if err := json.Unmarshal(raw, &is); err != nil {
			t.Fatal(err)
		}
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
			if path != "photos" && path != "parts" && s.Field(path) == nil {
				t.Errorf("the form of %s lacks %s", kind, path)
			}
		}
	}
	if _, err := form.Of("bore.polished"); err == nil {
		t.Error("there is a form for a kind that nobody knows")
	}
}

// without takes members out of data.
func without(tb testing.TB, raw jsontext.Value, names ...string) string {
	tb.Helper()
	var d map[string]any
	if err := json.Unmarshal(raw, &d); err != nil {
		tb.Fatal(err)
	}
	for _, n := range names {
		delete(d, n)
	}
	out, err := json.Marshal(d, json.Deterministic(true))
	if err != nil {
		tb.Fatal(err)
	}
	return string(out)
}

// TestWhatIsWrittenCanBeTypedAgain: the data of a sample of every kind comes
// out of its form as it went in, so that a correction changes only what the
// hand changes.
func TestWhatIsWrittenCanBeTypedAgain(t *testing.T) {
	seen := map[journal.Kind]bool{}
	for _, d := range journaltest.Samples() {
		kind := d.Data.Kind()
		s, err := form.Of(kind)
		if err != nil {
			continue
		}
		seen[kind] = true
		raw, err := journal.MarshalPayload(d.Data)
		if err != nil {
			t.Fatal(err)
		}
		var whole map[string]jsontext.Value
		if err := json.Unmarshal(raw, &whole); err != nil {
			t.Fatal(err)
		}
		v := s.Values(raw)
		parts := whole["parts"]
		if parts != nil { // the page of a run brings them
			s.Fields = append(s.Fields, form.Field{Name: "parts", Label: "parts", Control: form.Several})
			v = s.Values(raw)
		}
		got, problems := s.Data(v)
		if kind == journal.PhotoTaken {
			if len(problems) != 1 || !strings.Contains(problems[""], "photograph") {
				t.Errorf("a photograph without one gives %v", problems)
			}
			continue
		}
		if len(problems) > 0 {
			t.Errorf("%s: %v", kind, problems)
			continue
		}
		if want := without(t, raw, "photos"); without(t, got) != want {
			t.Errorf("%s came out as\n%s\ninstead of\n%s", kind, without(t, got), want)
		}
	}
	for kind := range journal.Kinds() {
		if _, err := form.Of(kind); err == nil && !seen[kind] {
			t.Errorf("there is no sample of %s", kind)
		}
	}
}

// TestBadInput: what is wrong is said at its field, all at once, and keeps
// the data from being made.
func TestBadInput(t *testing.T) {
	torque := form.Values{"joint": {"banjo bolt"}, "torque": {"27"}, "torque.unit": {"N.m"}, "tool": {"tw-1"}}
	with := func(v form.Values, pairs ...string) form.Values {
		c := form.Values{}
		for k, x := range v {
			c[k] = x
		}
		for i := 0; i < len(pairs); i += 2 {
			c[pairs[i]] = []string{pairs[i+1]}
		}
		return c
	}
	for _, trial := range []struct {
		kind  journal.Kind
		v     form.Values
		field string
		says  string
	}{
		{journal.TorqueApplied, with(torque, "torque", "27,5"), "torque", "27,5 has a comma; write the number with a decimal point, such as 27.5."},
		{journal.TorqueApplied, with(torque, "torque", "tight"), "torque", `"tight" does not begin with a number, such as 27 or 27.5.`},
		{journal.TorqueApplied, with(torque, "torque", "27 °C"), "torque", "torque"},
		{journal.TorqueApplied, with(torque, "torque", "-5"), "torque", "negative"},
		{journal.TorqueApplied, with(torque, "torque", ""), "torque", "Fill this in."},
		{journal.TorqueApplied, with(torque, "tool", ""), "tool", "Choose one."},
		{journal.TorqueApplied, with(torque, "tool", "tw/1"), "tool", "tw/1"},
		{journal.TorqueApplied, with(torque, "pattern", "zigzag"), "pattern", "zigzag"},
		{journal.TorqueApplied, with(torque, "count", "two"), "count", `"two" is no whole number.`},
		{journal.TorqueApplied, with(torque, "adapter.offset", "45", "adapter.offset.unit", "mm"), "adapter.wrench", "missing"},
		{journal.PartSoaked, form.Values{"set": {"-300"}, "set.unit": {"°C"}, "held": {"45"}}, "set", "absolute zero"},
		{journal.VehicleRaised, form.Values{"points": {"sills"}, "stands": {"0"}}, "stands", "It must be at least 1."},
		{journal.PowderApplied, form.Values{"lot": {"pw-1"}, "coat": {"1"}, "humidity": {"200"}, "humidity.unit": {"%"}}, "humidity", "200 is more than 100 %; look again."},
		{journal.BoreMasked, form.Values{"plugs": {"6"}}, "features", "Give at least one."},
		{journal.BoreMasked, form.Values{"plugs": {"6"}, "features.0.what": {"pin bore"}}, "features", "Row 1: How many is missing."},
		{journal.BoreMasked, form.Values{"plugs": {"6"}, "features.0.what": {"pin bore"}, "features.0.count": {"0"}}, "features", "Row 1: It must be at least 1."},
		{journal.FilmMeasured, form.Values{"spots.0.place": {"flank"}, "spots.0.readings": {"82 7,9 84"}, "spots.0.readings.unit": {"µm"}}, "spots", "Row 1: 7,9 has a comma"},
		{journal.AdhesionTested, form.Values{"scale": {"ISO 2409"}, "class": {"5B"}, "on": {"coupon"}}, "class", "has no class"},
		{journal.ToolChecked, form.Values{"tool": {"tw-1"}, "result": {"in tolerance"}, "due": {"30.9.2027"}}, "due", "is not a day such as 2026-03-02"},
		{journal.NoteMade, form.Values{}, "note", "Fill this in."},
		{journal.PartDegreased, form.Values{"agent": {"hot wash"}, "chlorinated": {"perhaps"}}, "chlorinated", "Choose one."},
	} {
		data, problems := sheet(t, trial.kind).Data(trial.v)
		if data != nil || !strings.Contains(problems[trial.field], trial.says) {
			t.Errorf("%s %v: got %v", trial.kind, trial.v, problems)
		}
	}
	_, all := sheet(t, journal.TorqueApplied).Data(form.Values{"torque": {"27,5"}, "count": {"two"}})
	if len(all) != 4 {
		t.Errorf("of four mistakes %d are told: %v", len(all), all)
	}
}

// TestAsTyped: numbers and units go into the journal as they were typed.
func TestAsTyped(t *testing.T) {
	for _, trial := range []struct {
		kind journal.Kind
		v    form.Values
		want string
	}{
		{journal.TorqueApplied, form.Values{"joint": {" banjo bolt "}, "torque": {"80.0 lbf.ft"}, "torque.unit": {"N.m"}, "tool": {"tw-1"}, "marked": {"yes"}},
			`{"joint":"banjo bolt","marked":true,"tool":"tw-1","torque":"80.0 lbf.ft"}`},
		{journal.TorqueApplied, form.Values{"joint": {"banjo bolt"}, "torque": {"027.50"}, "torque.unit": {"N.m"}, "tool": {"tw-1"}},
			`{"joint":"banjo bolt","tool":"tw-1","torque":"027.50 N.m"}`},
		{journal.FilmMeasured, form.Values{"spots.0.place": {"flank"}, "spots.0.readings": {"82 79; 3.1 mil"}, "spots.0.readings.unit": {"µm"}, "spots.1.place": {""}},
			`{"spots":[{"place":"flank","readings":["82 µm","79 µm","3.1 mil"]}]}`},
		{journal.PowderReceived, form.Values{"lot": {"pw-1"}, "colour": {"red"}, "chemistry": {"epoxy"}, "schedule.0.metal": {"180"}, "schedule.0.metal.unit": {"°C"}, "schedule.0.hold": {"20"}, "schedule.0.hold.unit": {"min"}},
			`{"chemistry":"epoxy","colour":"red","lot":"pw-1","schedule":[{"hold":"20 min","metal":"180 °C"}]}`},
		{journal.PersonAdded, form.Values{"person": {"mk"}, "initials": {"MK"}, "duties": {"bench", "waive"}},
			`{"duties":["bench","waive"],"initials":"MK","person":"mk"}`},
	} {
		data, problems := sheet(t, trial.kind).Data(trial.v)
		if len(problems) > 0 || string(data) != trial.want {
			t.Errorf("%s %v: got %s, %v", trial.kind, trial.v, data, problems)
		}
	}
}

func TestSteps(t *testing.T) {
	torque, mask := sheet(t, journal.TorqueApplied), sheet(t, journal.BoreMasked)
	for _, trial := range []struct {
		s     form.Sheet
		field string
		typed string
		by    int
		want  string
	}{
		{torque, "torque", "27", 1, "28"}, {torque, "torque", "27.5", -1, "26.5"}, {torque, "torque", "0", -1, "0"}, {torque, "torque", "", 1, "1"},
		{torque, "torque", "27 lbf.ft", 1, "28 lbf.ft"}, {torque, "torque", "tight", 1, "1 tight"},
		{mask, "plugs", "6", 1, "7"}, {mask, "features.0.count", "1", -1, "1"}, {mask, "features.0.count", "", 1, "1"},
		{torque, "joint", "x", 1, "x"}, {torque, "nothere", "", 1, ""},
	} {
		if got := trial.s.Step(form.Values{trial.field: {trial.typed}}, trial.field, trial.by).Get(trial.field); got != trial.want {
			t.Errorf("%s %q stepped by %d: %q instead of %q", trial.field, trial.typed, trial.by, got, trial.want)
		}
	}
}

func TestRows(t *testing.T) {
	s := sheet(t, journal.BoreMasked)
	v := form.Values{"plugs": {"6"}}
	for _, what := range []string{"piston bore", "pin bore", "banjo face"} {
		v = s.Put(v, "features", what)
	}
	v = s.Step(v, "features.2.count", 1)
	v = s.Shrink(v, "features", 1)
	if v.Get("features.0.what") != "piston bore" || v.Get("features.1.what") != "banjo face" || v.Get("features.1.count") != "1" || v.Get("plugs") != "6" {
		t.Errorf("got %v", v)
	}
	if n := len(s.View(v, nil, form.Known{}).Fields[0].Grid); n != 2 {
		t.Errorf("two rows are shown as %d", n)
	}
	v = s.Grow(v, "features")
	if n := len(s.View(v, nil, form.Known{}).Fields[0].Grid); n != 3 {
		t.Errorf("a row more gives %d", n)
	}
}

// TestReuse: what was measured, counted or confirmed is never offered again.
func TestReuse(t *testing.T) {
	last := form.Values{"joint": {"banjo bolt"}, "torque": {"27"}, "torque.unit": {"lbf.ft"}, "tool": {"tw-2"}, "marked": {"yes"}, "note": {"x"}, "spec": {"banjo"}}
	got := sheet(t, journal.TorqueApplied).Reuse(last)
	if fmt.Sprint(got) != fmt.Sprint(form.Values{"tool": {"tw-2"}, "torque.unit": {"lbf.ft"}}) {
		t.Errorf("got %v", got)
	}
	if got := sheet(t, journal.BoreUnmasked).Reuse(form.Values{"plugs": {"7"}}); len(got) > 0 {
		t.Errorf("a count is offered again: %v", got)
	}
}

// TestView: ids are unique, what is wrong and what helps is described, and a
// thing that is not on the shelf stays chosen.
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
		for _, f := range slices.Concat(v.Fields, v.More) {
			if seen[f.ID] {
				t.Errorf("%s has two fields with the id %s", kind, f.ID)
			}
			seen[f.ID] = true
		}
	}
	v := sheet(t, journal.TorqueApplied).View(form.Values{"tool": {"tw-9"}}, nil, form.Known{Pick: map[string][]form.Option{"torque tool": {{Value: "tw-1", Say: "tw-1"}}}})
	for _, f := range v.Fields {
		if f.Name == "tool" && (len(f.Options) != 2 || !f.Options[1].On || f.Options[1].Value != "tw-9") {
			t.Errorf("got %+v", f.Options)
		}
	}
}

// TestAnyPress: whatever is posted and pressed, nothing falls over, and what
// Data accepts the journal accepts.
func TestAnyPress(t *testing.T) {
	kinds := slices.Collect(journal.Kinds())
	rapid.Check(t, func(t *rapid.T) {
		s, err := form.Of(rapid.SampledFrom(kinds).Draw(t, "kind"))
		if err != nil {
			return
		}
		v := form.Values{}
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			f := rapid.SampledFrom(s.Fields).Draw(t, "field")
			name := f.Name + rapid.SampledFrom([]string{"", ".unit", ".0", ".1.what", ".63.count", ".99", ".x"}).Draw(t, "tail")
			typed := rapid.OneOf(rapid.String(), rapid.SampledFrom(append(f.Words, "1", "-3", "27 N.m", "80 lbf.ft", "200 °C", "yes"))).Draw(t, "typed")
			v[name] = append(v[name], typed)
			v = s.Step(v, name, rapid.IntRange(-3, 3).Draw(t, "by"))
			v = s.Grow(v, f.Name)
			v = s.Shrink(v, f.Name, rapid.IntRange(-1, 3).Draw(t, "row"))
			v = s.Put(v, f.Name, typed)
		}
		s.View(v, nil, form.Known{})
		data, problems := s.Data(v)
		if (data == nil) != (len(problems) > 0) {
			t.Fatalf("data %s with problems %v", data, problems)
		}
		if data != nil {
			if _, err := journal.ParsePayload(journal.Type{Kind: s.Kind, Version: s.Kind.Version()}, data); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// FuzzTyped reads whatever is typed into fields of numbers and rows.
func FuzzTyped(f *testing.F) {
	for _, typed := range []string{"27", "27,5", "−3 °C", "82 79 84", "1e9", "", "80 lbf.ft"} {
		f.Add(typed, "N.m")
	}
	f.Fuzz(func(t *testing.T, typed, unit string) {
		sheet(t, journal.TorqueApplied).Data(form.Values{"joint": {typed}, "torque": {typed}, "torque.unit": {unit}, "tool": {typed}, "count": {typed}})
		sheet(t, journal.FilmMeasured).Data(form.Values{"spots.0.place": {typed}, "spots.0.readings": {typed}, "spots.0.readings.unit": {unit}})
	})
}
