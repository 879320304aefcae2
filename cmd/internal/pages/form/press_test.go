package form_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"

	"pgregory.net/rapid"
)

func TestSteps(t *testing.T) {
	torque, mask, cool, back := sheet(t, journal.TorqueApplied), sheet(t, journal.BoreMasked), sheet(t, journal.PartCooled), sheet(t, journal.VehicleReleased)
	for _, trial := range []struct {
		s     form.Sheet
		field string
		typed string
		by    int
		want  string
	}{
		{torque, "torque", "27", 1, "28"}, {torque, "torque", "27.5", -1, "26.5"}, {torque, "torque", "0", -1, "0"}, {torque, "torque", "", 1, "1"},
		{torque, "torque", "27 lbf.ft", 1, "28 lbf.ft"}, {torque, "torque", "tight", 1, "1 tight"}, {torque, "torque", "27.50", 2, "29.50"},
		{mask, "plugs", "6", 1, "7"}, {mask, "features.0.count", "1", -1, "1"}, {mask, "features.0.count", "", 1, "1"},
		{back, "odometer", "63 120", 1, "63121"}, {back, "odometer", "1.063.120 mi", -1, "1063119 mi"}, {mask, "plugs", "1 006", 1, "1007"},
		{cool, "to", "−3", 1, "2"}, {cool, "to", "-38", -1, "-40"},
		{torque, "joint", "x", 1, "x"}, {torque, "nothere", "", 1, ""}, {mask, "features.1000.count", "3", 1, "3"},
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
	for range 100 {
		v = s.Grow(v, "features")
	}
	if n := len(s.View(v, nil, form.Known{}).Fields[0].Grid); n != form.MaxRows {
		t.Errorf("there can be %d rows", n)
	}
}

// TestUnitsStay: a gauge that reads mil goes on reading mil, in the next spot
// and in the next entry.
func TestUnitsStay(t *testing.T) {
	s := sheet(t, journal.FilmMeasured)
	first := form.Values{"spots.0.place": {"flank"}, "spots.0.readings": {"3.1"}, "spots.0.readings.unit": {"mil"}}
	for name, v := range map[string]form.Values{"one more": s.Grow(first, "spots"), "a usual place": s.Put(first, "spots", "ear")} {
		if got := v.Get("spots.1.readings.unit"); got != "mil" {
			t.Errorf("after %s the unit is %q", name, got)
		}
	}
	if got := s.Reuse(first); !maps.EqualFunc(got, form.Values{"spots.0.readings.unit": {"mil"}}, slices.Equal[[]string]) {
		t.Errorf("got %v", got)
	}
	if _, problems := s.Data(s.Reuse(first)); problems["spots"] != "Give at least one." {
		t.Errorf("a unit alone passes for a spot: %v", problems)
	}
}

// TestReuse: the whole list of what is offered again. What was measured,
// counted or confirmed is not on it; a new line here wants a second thought.
func TestReuse(t *testing.T) {
	want := map[journal.Kind]string{
		journal.VehicleRaised: "points", journal.PartDegreased: "agent", journal.PartBlasted: "media pressure cabinet",
		journal.PartSoaked: "oven set", journal.PowderApplied: "lot charge", journal.BakeStarted: "oven set", journal.PartCooled: "how",
		journal.FilmMeasured: "gauge low high", journal.AdhesionTested: "scale", journal.SolventRubbed: "solvent double_rubs",
		journal.PartRebuilt: "lubricant", journal.WasherReplaced: "joint material size",
		journal.WheelFitted: "pattern", journal.RetorqueDone: "tool",
	}
	for kind := range journal.Kinds() {
		s, err := form.Of(kind)
		if err != nil {
			continue
		}
		last := form.Values{"nobody": {"knows this"}}
		for _, f := range s.Fields {
			last[f.Name], last[f.Name+".0"], last[f.Name+".0.what"] = []string{"x"}, []string{"x"}, []string{"x"}
		}
		var names []string
		for _, f := range s.Fields {
			if s.Reuse(last).Get(f.Name) != "" {
				names = append(names, f.Name)
			}
		}
		if got := strings.Join(names, " "); got != want[kind] {
			t.Errorf("%s offers again %q instead of %q", kind, got, want[kind])
		}
		if len(s.Reuse(last)) != len(names) {
			t.Errorf("%s offers more again than its fields: %v", kind, s.Reuse(last))
		}
	}
	last := form.Values{"joint": {"banjo bolt"}, "torque": {"27"}, "torque.unit": {"lbf.ft"}, "tool": {"tw-2"}, "marked": {"yes"}, "note": {"x"}, "spec": {"banjo"}}
	if got := sheet(t, journal.TorqueApplied).Reuse(last); fmt.Sprint(got) != fmt.Sprint(form.Values{"torque.unit": {"lbf.ft"}}) {
		t.Errorf("got %v", got)
	}
}

// TestAnyPress: whatever is posted and pressed, nothing falls over, what no
// field knows stays, and what Data accepts the journal accepts.
func TestAnyPress(t *testing.T) {
	kinds := slices.Collect(journal.Kinds())
	rapid.Check(t, func(t *rapid.T) {
		s, err := form.Of(rapid.SampledFrom(kinds).Draw(t, "kind"))
		if err != nil {
			return
		}
		v := form.Values{"once": {"7"}}
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			f := rapid.SampledFrom(s.Fields).Draw(t, "field")
			name := f.Name + rapid.SampledFrom([]string{"", ".unit", ".0", ".1.what", ".63.count", ".99", ".x"}).Draw(t, "tail")
			typed := rapid.OneOf(rapid.String(), rapid.SampledFrom(append(f.Words, "1", "-3", "27 N.m", "80 lbf.ft", "200 °C", "yes"))).Draw(t, "typed")
			v[name] = append(v[name], typed)
			before := maps.Clone(v)
			after := s.Step(v, name, rapid.IntRange(-3, 3).Draw(t, "by"))
			after = s.Grow(after, f.Name)
			after = s.Shrink(after, f.Name, rapid.IntRange(-1, 3).Draw(t, "row"))
			after = s.Put(after, f.Name, typed)
			if !maps.EqualFunc(v, before, slices.Equal[[]string]) {
				t.Fatalf("a press changed what it was given: %q", v)
			}
			v = after
		}
		if v.Get("once") != "7" {
			t.Fatal("a press lost what belongs to the page")
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
