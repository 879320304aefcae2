package journal_test

import (
	"encoding"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/trade/unit"

	"github.com/go-json-experiment/json"
)

// numeric yields the paths of the fields of a type that hold a number, with or
// without a unit.
func numeric(t reflect.Type, at string, yield func(path string)) {
	switch reflect.Zero(t).Interface().(type) {
	case interface{ Value() float64 }, journal.Series, journal.Readings:
		yield(at)
		return
	case encoding.TextMarshaler:
		return
	}
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		if t.Elem().Kind() != reflect.Uint8 { // bytes
			numeric(t.Elem(), at, yield)
		}
	case reflect.Struct:
		for _, f := range reflect.VisibleFields(t) {
			if name, _, _ := strings.Cut(f.Tag.Get("json"), ","); !f.Anonymous && name != "" {
				numeric(f.Type, strings.TrimPrefix(at+"."+name, "."), yield)
			}
		}
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Uint, reflect.Uint64, reflect.Uint32, reflect.Float64:
		yield(at)
	}
}

// outOfBounds is what is said of a figure that is typed into the data of a kind, "" if
// it may lie there.
func outOfBounds(t *testing.T, kind journal.Kind, data any) string {
	t.Helper()
	raw, err := json.Marshal(data)
	if err != nil {
		t.Fatal(err)
	}
	_, err = journal.ParseTyped(kind, raw)
	var bad *journal.Invalid
	if errors.As(err, &bad) {
		for _, p := range bad.Problems {
			if p.Code == journal.OutOfBounds {
				return p.String()
			}
		}
	}
	return ""
}

// put sets what lies at a path in data, in the first row of each list.
func put(data any, path, value any) any {
	name, rest, _ := strings.Cut(fmt.Sprint(path), ".")
	switch at := data.(type) {
	case []any:
		if len(at) == 0 {
			at = append(at, nil)
		}
		at = slices.Clone(at)
		at[0] = put(at[0], path, value)
		return at
	case map[string]any:
		at = maps.Clone(at)
		if rest == "" {
			if list, ok := at[name].([]any); ok && len(list) > 0 {
				value = append([]any{value}, list[1:]...)
			}
			at[name] = value
		} else {
			at[name] = put(at[name], rest, value)
		}
		return at
	default:
		return put(map[string]any{}, path, value)
	}
}

// beyond is a limit and a bit more: so many thousandths of it, or of one.
func beyond(t *testing.T, limit string, sign float64) any {
	t.Helper()
	number, spelling := unit.Split(limit)
	x, ok := unit.Decimal(number)
	if !ok {
		t.Fatalf("the limit %q is not a number", limit)
	}
	step := 1.0
	if spelling != "" {
		step = 0.001
	}
	return strings.TrimSpace(fmt.Sprintf("%.4f %s", x+sign*step, spelling))
}

// Every number that an entry can hold has a span with its reason: its ends can
// be written, and what lies beyond is refused with a sentence, at the form and
// on the command line. What lies in a log already can be read whatever it is.
func TestEveryNumberHasASpan(t *testing.T) {
	for _, sample := range journaltest.Samples() {
		kind := sample.Data.Kind()
		raw, err := journal.MarshalPayload(sample.Data)
		if err != nil {
			t.Fatal(err)
		}
		var data map[string]any
		if err := json.Unmarshal(raw, &data); err != nil {
			t.Fatal(err)
		}
		numeric(reflect.TypeOf(kind.Blank()).Elem(), "", func(path string) {
			t.Run(string(kind)+"/"+path, func(t *testing.T) {
				span, ok := journal.SpanOf(kind, path)
				if !ok || span.Why == "" {
					t.Fatal("has no span: say between what it can lie, and why")
				}
				typed := func(figure any) any {
					if number, spelling := unit.Split(fmt.Sprint(figure)); spelling == "" && reflect.TypeOf(fieldOf(kind, path)).Kind() != reflect.String {
						x, _ := unit.Decimal(number)
						return int64(x)
					}
					return figure
				}
				for _, end := range []struct {
					limit, says string
					sign        float64
				}{{span.Low, "at least", -1}, {span.High, "at most", 1}} {
					if said := outOfBounds(t, kind, put(data, path, typed(end.limit))); said != "" {
						t.Errorf("%s is refused: %s", end.limit, said)
					}
					figure := typed(beyond(t, end.limit, end.sign))
					if strings.HasPrefix(fmt.Sprint(figure), "-") && negative(kind, path, figure) != nil {
						continue // no number of the unit at all
					}
					said := outOfBounds(t, kind, put(data, path, figure))
					if !strings.Contains(said, "must be "+end.says) || !strings.Contains(said, span.Why) {
						t.Errorf("%v is told: %q", figure, said)
					}
				}
			})
		})
	}
}

// fieldOf is an empty value of the type that a path in the data of a kind has.
func fieldOf(kind journal.Kind, path string) any {
	t := reflect.TypeOf(kind.Blank()).Elem()
	for name := range strings.SplitSeq(path, ".") {
		for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
			t = t.Elem()
		}
		for _, f := range reflect.VisibleFields(t) {
			if is, _, _ := strings.Cut(f.Tag.Get("json"), ","); is == name {
				t = f.Type
				break
			}
		}
	}
	return reflect.Zero(t).Interface()
}

// negative says why a unit has no figure below zero, nil if it has.
func negative(kind journal.Kind, path string, figure any) error {
	text, ok := figure.(string)
	value := reflect.New(reflect.TypeOf(fieldOf(kind, path)))
	if value.Elem().Kind() == reflect.Slice {
		value = reflect.New(value.Elem().Type().Elem())
	}
	u, isText := value.Interface().(encoding.TextUnmarshaler)
	if !ok || !isText {
		return nil
	}
	return u.UnmarshalText([]byte(text))
}

func TestFiguresThatCannotBe(t *testing.T) {
	torque := map[string]any{"joint": "banjo bolt", "tool": "tw-2", "torque": "22 N·m", "count": 1}
	wheel := map[string]any{"step": "full, wheel on the ground", "nuts": 5, "pattern": "star", "torque": "120 N·m", "tool": "tw-3"}
	arrival := map[string]any{"odometer": "63 120 km", "agreed": true}
	film := map[string]any{"spots": []any{map[string]any{"place": "bridge", "readings": []any{"82 µm", "79 µm"}}}}
	bleed := map[string]any{"fluid": "f1", "drawn": "120 mL", "bubbles": "none"}
	bake := map[string]any{"set": "200 °C", "parts": []any{"job/j1/corner/LF/part/caliper"}}
	for _, c := range []struct {
		kind   journal.Kind
		data   any
		path   string
		figure any
		want   string // "" where it is honest
	}{
		{journal.TorqueApplied, torque, "torque", "22 N·m", ""},
		{journal.TorqueApplied, torque, "torque", "220 N·m", ""}, // wrong, and possible: a hold point says so
		{journal.TorqueApplied, torque, "torque", "4 lb·in", ""},
		{journal.TorqueApplied, torque, "torque", "1475 lb·ft", ""},
		{journal.TorqueApplied, torque, "torque", "10000000000000000000000 N·m", "the field torque: 10000000000000000000000 N·m cannot be right: it must be at most 2000 N·m, since"},
		{journal.TorqueApplied, torque, "torque", "1476 lb·ft", "at most 1475 lb·ft"},
		{journal.TorqueApplied, torque, "torque", "0 N·m", "at least 0.1 N·m"},
		{journal.TorqueApplied, torque, "count", 0, "the field count: 0 cannot be right: it must be at least 1, since a joint has a bolt"},
		{journal.TorqueApplied, torque, "count", -3, "at least 1"},
		{journal.TorqueApplied, torque, "count", 100, ""},
		{journal.TorqueApplied, torque, "count", 2000000000, "at most 100"},
		{journal.WheelFitted, wheel, "nuts", 3, ""},
		{journal.WheelFitted, wheel, "nuts", 0, "at least 1"},
		{journal.VehicleReceived, arrival, "odometer", "0 km", ""},
		{journal.VehicleReceived, arrival, "odometer", "5 300 000 km", ""},
		{journal.VehicleReceived, arrival, "odometer", "63120000 km", "at most 10000000 km"},
		{journal.FilmMeasured, film, "spots.readings", "0 µm", ""},
		{journal.FilmMeasured, film, "spots.readings", "82 mm", "the field spots.0.readings.0: 82 mm cannot be right: it must be at most 5 mm, since gauges of film end there"},
		{journal.BleedDone, bleed, "drawn", "0 mL", ""}, // nothing came, and a hold point says what follows
		{journal.BleedDone, bleed, "drawn", "120 L", "at most 50 L"},
		{journal.BleedDone, bleed, "screws", 0, "at least 1"},
		{journal.BakeStarted, bake, "set", "392 °F", ""},
		{journal.BakeStarted, bake, "set", "2000 °C", "at most 400 °C"},
		{journal.JobPromised, map[string]any{"warranty": map[string]any{"words": "the coat"}}, "warranty.months", 0, "the field warranty.months: 0 cannot be right: it must be at least 1"},
	} {
		if said := outOfBounds(t, c.kind, put(c.data, c.path, c.figure)); (said == "") != (c.want == "") || !strings.Contains(said, c.want) {
			t.Errorf("%s %s %v: told %q, want %q", c.kind, c.path, c.figure, said, c.want)
		}
	}
}

// What an earlier program let through stays readable, and cannot be written again.
func TestWhatLiesInLogsStaysReadable(t *testing.T) {
	raw := []byte(`{"joint":"banjo bolt","torque":"10000000000000000000000 N·m","tool":"tw-1"}`)
	data, err := journal.ParsePayload(journal.Type{Kind: journal.TorqueApplied, Version: 1}, raw)
	if err != nil {
		t.Fatal(err)
	}
	again := journal.Draft{Subject: journal.About("j1", "LF", "caliper"), By: "io", Data: data}
	if err := again.Valid(); err == nil || !strings.Contains(err.Error(), "it must be at most 2000 N·m") {
		t.Errorf("got %v", err)
	}
}
