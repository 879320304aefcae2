package bake_test

import (
	"encoding/json"
	"errors"
	"iter"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/recorder"
	"fettlebook/journal/trade/bake"
)

// bake20 is a bake with a door that closes at 0: a part, an oven's air.
const bake20 = "s;1 °C;2 °C\n0;20;180\n300;120;200\n600;181;200\n660;195;200\n720;199;200\n780;200;200\n840;200;200\n900;200;200\n960;200;200\n1020;200;200\n1080;200;200\n1140;200;200\n1200;200;200\n1260;200;200\n1500;60;100\n"

func TestVerdicts(t *testing.T) {
	const place = "thick section"
	part := func(channel string) bake.Probe {
		return bake.Probe{Channel: channel, Place: place, On: "left front caliper"}
	}
	air := bake.Probe{Channel: "2", Place: "oven air"}
	lines := func(a, b string, minutes int) string { // two channels that stay where they are
		return "min;1 °C;2 °C\n" + strings.Join(slices.Collect(each(minutes, func(m int) string {
			return strings.Join([]string{strconv.Itoa(m), a, b}, ";")
		})), "\n")
	}
	tests := []struct {
		name   string
		file   string
		probes []bake.Probe
		word   bake.Word
		over   bake.Overbake
		cold   string
		says   string
	}{
		{"cured", bake20, []bake.Probe{part("1"), air}, bake.Cured, "", "1", "Cured: the coldest probe on a part, channel 1 (thick section), had 1."},
		{"air only", bake20, []bake.Probe{air}, bake.NotProven, "", "", "no probe on the part"},
		{"no probe at all", bake20, nil, bake.NotProven, "", "", "no probe on the part"},
		{"not cured", lines("180", "200", 19), []bake.Probe{part("1"), air}, bake.NotCured, "", "1", "Not cured"},
		{"cured to the minute", lines("180", "200", 20), []bake.Probe{part("1"), air}, bake.Cured, "", "1", "for 20.0 min without a break; the sheet asks for 20 min"},
		{"lenient only", lines("179", "200", 40), []bake.Probe{part("1"), air}, bake.CuredLenient, "", "1", "Cured only on the lenient reading: the coldest probe on a part, channel 1 (thick section), had 0.00"},
		{"the colder of two", lines("200", "185", 15), []bake.Probe{part("1"), part("2")}, bake.NotCured, "", "2", "channel 2"},
		{"hot air is not an overbake", lines("180", "210", 45), []bake.Probe{part("1"), air}, bake.Cured, bake.OverbakeCaution, "1", "2 schedules (common practice)"},
		{"rejected", lines("180", "210", 45), []bake.Probe{part("1"), part("2")}, bake.Cured, bake.OverbakeReject, "1", "Overbaked: channel 2 had 6.23 schedules, more than 3 schedules (common practice)"},
		{"Fahrenheit in a °C column", lines("392", "20", 15), []bake.Probe{part("1")}, bake.NotProven, "", "1", "almost surely °F"},
		{"hotter than any bake", lines("300", "20", 15), []bake.Probe{part("1")}, bake.NotProven, "", "1", "above the 260 °C (common practice)"},
		{"hot air does not matter", lines("200", "300", 15), []bake.Probe{part("1"), air}, bake.Cured, "", "1", "Cured"},
		{"a dead probe", lines("", "200", 15), []bake.Probe{part("1"), air}, bake.NotProven, "", "", "gave no readings"},
	}
	s := schedule(t, scheduleA)
	for _, test := range tests {
		r, err := recorder.NewReader(strings.NewReader(test.file), recorder.Format{})
		if err != nil {
			t.Fatal(err)
		}
		result, err := bake.Judge(r, s, bake.DefaultRules(), test.probes)
		if err != nil {
			t.Fatal(err)
		}
		v := result.Verdict
		if v.Word != test.word || v.Overbake != test.over || v.Coldest != test.cold || !strings.Contains(v.Say, test.says) {
			t.Errorf("%s: got %q %q on channel %q: %s", test.name, v.Word, v.Overbake, v.Coldest, v.Say)
		}
		if got := result.On("left front caliper"); !reflect.DeepEqual(got, v) {
			t.Errorf("%s: the part's own verdict differs: %s", test.name, got.Say)
		}
		if got := result.On("right front caliper"); got.Word != bake.NotProven {
			t.Errorf("%s: another part is %s", test.name, got.Word)
		}
		frozen, err := json.Marshal(result)
		if err != nil {
			t.Fatal(err)
		}
		var thawed bake.Result
		if err := json.Unmarshal(frozen, &thawed); err != nil || !reflect.DeepEqual(thawed.On("left front caliper"), v) {
			t.Errorf("%s: a stored result gives another verdict: %v", test.name, err)
		}
	}
}

func TestFigures(t *testing.T) {
	// Figures by hand: the part is at 180 °C one 61st of the third step before its end.
	r := judge(t, must(recorder.NewReader(strings.NewReader(bake20), recorder.Format{})), schedule(t, scheduleA), bake.DefaultRules())
	c := r.Channels[0]
	if r.Interval != 60 || r.LongestGap != 180 || r.Samples != 15 || r.StrictFrom != 180 || r.LenientFrom != 170 || r.OutsideAbove != 210 {
		t.Errorf("got %+v", r)
	}
	if c.Readings != 15 || c.Missing != 0 || c.From != 0 || c.To != 1500 || c.Peak != (bake.Peak{Celsius: 200, Second: 780}) {
		t.Errorf("got %+v", c)
	}
	if want := (bake.Gaps{Count: 3, Seconds: 840, Longest: 300}); c.Gaps != want {
		t.Errorf("gaps %+v, want %+v", c.Gaps, want)
	}
	// 181 → 200 °C and flat to minute 21 without a gap; 200 °C from minute 13.
	near(t, "at 180 °C", c.Holds[0].Longest, "11.000")
	near(t, "at 200 °C", c.Holds[1].Longest, "8.000")
	if c.Holds[0].Met || c.Holds[1].Met {
		t.Errorf("the plain rule is met: %+v", c.Holds)
	}
	// 120 → 181 °C in 5 min, 11 min, 200 → 60 °C in 4 min.
	near(t, "above 150 °C", c.HeatMinutes, "14.9696")
	if want := 5*31.0/61 + 11 + 4*50.0/140; math.Abs(c.HeatMinutes-want) > 1e-9 {
		t.Errorf("heat %v, want %v", c.HeatMinutes, want)
	}
}

func TestProbeThatFellOut(t *testing.T) {
	// Readings a minute apart; three lost ones make a gap of four minutes, above 3 × 60 s.
	file := "min;1 °C\n0;200\n1;200\n2;200\n3;\n4;\n5;\n6;200\n7;200\n8;\n9;200\n"
	c := judge(t, must(recorder.NewReader(strings.NewReader(file), recorder.Format{})), schedule(t, scheduleA), bake.DefaultRules()).Channels[0]
	near(t, "strict", c.Strict, "0.500000")
	near(t, "lenient", c.Lenient, "0.900000")
	if c.Missing != 4 || c.Gaps != (bake.Gaps{Count: 1, Seconds: 240, Longest: 240}) {
		t.Errorf("got %d missing, gaps %+v", c.Missing, c.Gaps)
	}
	near(t, "hold", c.Holds[1].Longest, "3.000")
}

func TestCap(t *testing.T) {
	s := schedule(t, scheduleA)
	c := judge(t, memory(t, "0:230 1:230 2:230", bake.Celsius), s, bake.DefaultRules()).Channels[0]
	if want := 2 / s.Required(210); math.Abs(c.Strict/want-1) > 1e-9 {
		t.Errorf("strict %v, want %v as at 210 °C", c.Strict, want)
	}
	if want := 2 / s.Required(230); math.Abs(c.Lenient/want-1) > 1e-9 {
		t.Errorf("lenient %v, want %v", c.Lenient, want)
	}
	if c.Outside != 120 || len(c.Warnings) != 1 || c.Warnings[0].Kind != bake.WarnOutside {
		t.Errorf("outside for %v s: %v", c.Outside, c.Warnings)
	}
}

func TestSlowRecorder(t *testing.T) {
	r := judge(t, memory(t, "0:200 5:200 10:200 15:200 40:200", bake.Celsius), schedule(t, scheduleA), bake.DefaultRules())
	c := r.Channels[0]
	if r.LongestGap != 900 || c.Gaps.Count != 1 || !slices.ContainsFunc(c.Warnings, func(w bake.Warning) bool { return w.Kind == bake.WarnSlow }) {
		t.Errorf("gaps above %v s: %+v, %v", r.LongestGap, c.Gaps, c.Warnings)
	}
}

// samples is a trace that a caller made itself.
type samples []bake.Sample

func (s samples) Channels() []string { return []string{"1"} }
func (s samples) Samples() iter.Seq2[bake.Sample, error] {
	return func(yield func(bake.Sample, error) bool) {
		for _, sample := range s {
			if !yield(sample, nil) {
				return
			}
		}
	}
}

func TestJudgeRefuses(t *testing.T) {
	s, rules := schedule(t, scheduleA), bake.DefaultRules()
	trace := func() bake.Trace { return memory(t, "0:200 1:200", bake.Celsius) }
	if _, err := bake.Judge(trace(), s, rules, []bake.Probe{{Channel: "9"}}); err == nil || !strings.Contains(err.Error(), `no channel "9"`) {
		t.Errorf("got %v", err)
	}
	if _, err := bake.Judge(trace(), s, rules, append(onPart, onPart...)); err == nil || !strings.Contains(err.Error(), `two probes`) {
		t.Errorf("got %v", err)
	}
	var refused *bake.ScheduleError
	if _, err := bake.Judge(trace(), bake.Schedule{}, rules, nil); !errors.As(err, &refused) {
		t.Errorf("got %v", err)
	}
	for name, bad := range map[string]samples{
		"repeated": {{0, []float64{1}}, {0, []float64{2}}},
		"back":     {{1, []float64{1}}, {0, []float64{2}}},
		"NaN":      {{math.NaN(), []float64{1}}},
		"channels": {{0, []float64{1, 2}}},
	} {
		if _, err := bake.Judge(bad, s, rules, nil); !errors.Is(err, bake.ErrOrder) {
			t.Errorf("%s: got %v", name, err)
		}
	}
	for name, change := range map[string]func(*bake.Rules){
		"negative margin":       func(r *bake.Rules) { r.Strict.Below.Value = -1 },
		"NaN":                   func(r *bake.Rules) { r.MaxGap.Value = math.NaN() },
		"infinite":              func(r *bake.Rules) { r.Above.Value = math.Inf(1) },
		"no policy":             func(r *bake.Rules) { r.Lenient.Gap = "" },
		"strict margin wider":   func(r *bake.Rules) { r.Strict.Below.Value = 20 },
		"strict gap softer":     func(r *bake.Rules) { r.Strict.Gap, r.Lenient.Gap = bake.Interpolated, bake.LowerEndpoint },
		"only the lenient caps": func(r *bake.Rules) { r.Strict.Capped, r.Lenient.Capped = false, true },
		"reject before caution": func(r *bake.Rules) { r.Caution.Value = 5 },
		"no temperature":        func(r *bake.Rules) { r.HeatAbove.Value = -300 },
	} {
		r := rules
		change(&r)
		if _, err := bake.Judge(trace(), s, r, nil); !errors.Is(err, bake.ErrRules) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestEveryDefaultSaysWhereItComesFrom(t *testing.T) {
	var look func(v reflect.Value)
	look = func(v reflect.Value) {
		if limit, ok := v.Interface().(bake.Limit); ok {
			if limit.Source == "" || limit.Unit == "" {
				t.Errorf("a default without source or unit: %v", limit)
			}
			return
		}
		if v.Kind() == reflect.Struct {
			for i := range v.NumField() {
				look(v.Field(i))
			}
		}
	}
	look(reflect.ValueOf(bake.DefaultRules()))
	look(reflect.ValueOf(bake.DefaultHeatLimit()))
}
