package journaltest_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

func TestSamplesCoverEveryKindInOrder(t *testing.T) {
	want := slices.Collect(journal.Kinds())
	for name, drafts := range map[string][]journal.Draft{"full": journaltest.Samples(), "minimal": journaltest.Minimal()} {
		var got []journal.Kind
		for _, d := range drafts {
			got = append(got, d.Data.Kind())
			if err := d.Valid(); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: kinds %v, want %v", name, got, want)
		}
	}
}

func TestSamplesFillEveryField(t *testing.T) {
	for _, d := range journaltest.Samples() {
		eachField(reflect.ValueOf(d.Data).Elem(), func(name string, v reflect.Value, _ bool) {
			if v.IsZero() {
				t.Errorf("%s: %s is empty", d.Data.Kind(), name)
			}
		})
	}
}

func TestMinimalLeavesOutWhatMay(t *testing.T) {
	needed := map[journal.Kind][]string{ // by the kind's own rule
		journal.PhotoTaken:    {"photos"},
		journal.NoteMade:      {"note"},
		journal.BakeStarted:   {"parts"},
		journal.JobOpened:     {"plate"},
		journal.SeatProved:    {"shown"},
		journal.TorqueApplied: {"torque", "tool"},
		journal.SpecRecorded:  {"nominal"},
		journal.VehicleRaised: {"stands"},
		journal.ManualRead:    {"fluid"},

		journal.CastingMatched: {"photos"},
		journal.JobPromised:    {"ready"},
	}
	for _, d := range journaltest.Minimal() {
		kind := d.Data.Kind()
		eachField(reflect.ValueOf(d.Data).Elem(), func(name string, v reflect.Value, optional bool) {
			if optional && !v.IsZero() && !slices.Contains(needed[kind], name) {
				t.Errorf("%s: %s is given", kind, name)
			}
		})
	}
}

// eachField visits the JSON members of a payload and of what it holds.
func eachField(v reflect.Value, visit func(name string, v reflect.Value, optional bool)) {
	for i := range v.NumField() {
		f, field := v.Field(i), v.Type().Field(i)
		name, opts, tagged := strings.Cut(field.Tag.Get("json"), ",")
		if name != "" {
			visit(name, f, tagged && strings.HasPrefix(opts, "omit"))
		}
		for f.Kind() == reflect.Pointer && !f.IsNil() {
			f = f.Elem()
		}
		switch {
		case f.Kind() == reflect.Struct && (field.Anonymous || name == "vehicle" || name == "adapter" || name == "customer"):
			eachField(f, visit)
		case f.Kind() == reflect.Slice && name != "readings" && f.Type().Elem().Kind() == reflect.Struct:
			for j := range f.Len() {
				eachField(f.Index(j), visit)
			}
		}
	}
}
