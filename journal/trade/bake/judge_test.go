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

// bake20 is a bake with a door that closes at 0, read every minute: a part, an oven's air.
var bake20 = "s;1 °C;2 °C\n" + strings.Join(slices.Collect(each(25, func(minute int) string {
	celsius := map[bool]float64{true: 20 + 15*float64(minute), false: 200}[minute < 12]
	if minute > 21 {
		celsius = 200 - 20*float64(minute-21)
	}
	return strconv.Itoa(60*minute) + ";" + strconv.FormatFloat(celsius, 'f', -1, 64) + ";200"
})), "\n")

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
		{"met", bake20, []bake.Probe{part("1"), air}, bake.Met, "", "1", "Schedule met 1.0"},
		{"air only", bake20, []bake.Probe{air}, bake.NotProven, "", "", "no probe was on the part, and oven air does not show"},
		{"no probe at all", bake20, nil, bake.NotProven, "", "", "no probe was on the part"},
		{"not met", lines("180", "200", 19), []bake.Probe{part("1"), air}, bake.NotMet, "", "1", "Schedule not met: 0.95 of it, by the coldest probe that gave readings: 1 (thick section). Time counts from 180 °C; gaps do not count."},
		{"met to the minute", lines("180", "200", 20), []bake.Probe{part("1"), air}, bake.Met, "", "1", "The metal there was at or above 180 °C for 20.0 min without a break; the sheet asks for 20 min"},
		{"lenient only", lines("179", "200", 40), []bake.Probe{part("1"), air}, bake.MetLenient, "", "1", "only on the lenient reading, which counts from 170 °C; 0.00 times from 180 °C, by the coldest"},
		{"the colder of two", lines("200", "185", 15), []bake.Probe{part("1"), part("2")}, bake.NotMet, "", "2", ": 2 (thick"},
		{"no number says that it was baked too much", lines("200", "210", 45), []bake.Probe{part("1"), part("2")}, bake.Met, "", "1", "Schedule met 4.50 times, by the coldest probe that gave readings: 1 (thick section)."},
		{"Fahrenheit in a °C column", lines("392", "20", 15), []bake.Probe{part("1")}, bake.NotProven, "", "1", "almost surely °F"},
		{"hotter than any bake", lines("300", "20", 15), []bake.Probe{part("1")}, bake.NotProven, "", "1", "above the 260 °C (shop default)"},
		{"hot air does not matter", lines("200", "300", 15), []bake.Probe{part("1"), air}, bake.Met, "", "1", "Schedule met 1.50"},
		{"a dead probe", lines("", "200", 15), []bake.Probe{part("1"), air}, bake.NotProven, "", "", "Not proven: the probe on the part gave fewer than two readings."},
		{"one of two dead", lines("200", "", 15), []bake.Probe{part("1"), part("2")}, bake.Met, "", "1", "by the coldest probe that gave readings: 1"},
		{"a reading an hour", "min;1 °C\n0;200\n60;200\n", []bake.Probe{part("1")}, bake.NotProven, "", "1", "0.00 of the schedule where its readings are at most 60 s apart; 1 gap without readings, together 60.0 min, does not count"},
		{"a gap that would not do either", "min;1 °C\n0;200\n1;200\n4;200\n5;200\n", []bake.Probe{part("1")}, bake.NotMet, "", "1", "Schedule not met: 0.20 of it"},
		{"silent before it was met", lines("200", "200", 5) + "\n6;;200\n7;;200\n8;;200\n", []bake.Probe{part("1"), air}, bake.NotProven, "", "1", "probe 1 (thick section) fell silent at minute 5.0, 3.0 min before the log ends; from there on it proves nothing, and until then it had 0.50 of the schedule"},
		{"silent after it was met", lines("200", "200", 12) + "\n13;;200\n14;;200\n", []bake.Probe{part("1"), air}, bake.Met, "", "1", "Channel 1 fell silent at minute 12.0"},
		{"one of two silent before", lines("200", "200", 5) + "\n" + later(6, 15, ";200"), []bake.Probe{part("1"), part("2")}, bake.NotProven, "", "1", "fell silent"},
		{"fell off into the air", lines("150", "200", 5) + "\n" + later(6, 30, "200;200"), []bake.Probe{part("1"), air}, bake.NotProven, "", "1", "changes from 150.0 °C to 200.0 °C up to minute 6.0, faster than metal can (30 K/min (shop default))"},
		{"open circuit", lines("200", "200", 5) + "\n" + later(6, 30, "1372;200"), []bake.Probe{part("1"), air}, bake.NotProven, "", "1", "reads 1372.0 °C at minute 6.0, which no probe in an oven can"},
		{"open circuit from the beginning", "min;1 °C;2 °C\n" + later(0, 30, "1372;200"), []bake.Probe{part("1"), air}, bake.NotProven, "", "", "Not proven: probe 1 (thick section) reads 1372.0 °C at minute 0.0, which no probe in an oven can read; from there on it proves nothing, and until then it had 0.00 of the schedule."},
		{"open circuit, the other way", lines("200", "200", 5) + "\n" + later(6, 30, "-999;200"), []bake.Probe{part("1"), air}, bake.NotProven, "", "1", "reads -999.0 °C"},
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
			t.Errorf("%s: the part’s own verdict differs: %s", test.name, got.Say)
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

// later is one line for each of some minutes.
func later(from, to int, readings string) string {
	var list []string
	for m := from; m <= to; m++ {
		list = append(list, strconv.Itoa(m)+";"+readings)
	}
	return strings.Join(list, "\n")
}

// A powder's sheet alone says what is too much.
func TestOverbakeBySheet(t *testing.T) {
	for most, want := range map[float64]bake.Overbake{4.5: "", 4.4: bake.OverSheet} {
		rules := bake.DefaultRules()
		longest := must(bake.ParseSchedule(strconv.FormatFloat(10*most, 'f', -1, 64) + " min @ 200 °C")).Points()
		rules.Most = schedule(t, scheduleA).Most(longest...)
		v := judge(t, memory(t, minutes(45, "200"), bake.Celsius), schedule(t, scheduleA), rules).Verdict
		if v.Word != bake.Met || v.Overbake != want || want != "" && !strings.Contains(v.Say, "Overbaked: channel 1 had 4.50 schedules, and the sheet allows at most 4.40.") {
			t.Errorf("at most %g: %q %s", most, v.Overbake, v.Say)
		}
	}
}

// minutes are pairs of a minute and a reading that does not change.
func minutes(n int, reading string) string {
	return strings.Join(slices.Collect(each(n, func(m int) string { return strconv.Itoa(m) + ":" + reading })), " ")
}

func TestFigures(t *testing.T) {
	r := judge(t, must(recorder.NewReader(strings.NewReader(bake20), recorder.Format{})), schedule(t, scheduleA), bake.DefaultRules())
	c := r.Channels[0]
	if r.Interval != 60 || r.LongestGap != 60 || r.Samples != 26 || r.StrictFrom != 180 || r.LenientFrom != 170 || r.OutsideAbove != 210 {
		t.Errorf("got %+v", r)
	}
	if c.Readings != 26 || c.Missing != 0 || c.From != 0 || c.To != 1500 || c.Peak != (bake.Peak{Celsius: 200, Second: 720}) || c.Gaps != (bake.Gaps{}) {
		t.Errorf("got %+v", c)
	}
	// 15 K a minute up to 185 °C and then 200 °C, flat to minute 21, 20 K a minute down.
	near(t, "at 180 °C", c.Holds[0].Longest, "11.333")
	near(t, "at 200 °C", c.Holds[1].Longest, "9.000")
	if c.Holds[0].Met || c.Holds[1].Met {
		t.Errorf("the plain rule is met: %+v", c.Holds)
	}
	if want := 21 - 130.0/15 + 2.5; math.Abs(c.HeatMinutes-want) > 1e-9 {
		t.Errorf("heat %v, want %v", c.HeatMinutes, want)
	}
}

func TestProbeThatFellOut(t *testing.T) {
	// Readings a minute apart. Wherever one was lost is a gap, which is worth nothing.
	file := "min;1 °C\n0;200\n1;200\n2;200\n3;\n4;\n5;\n6;200\n7;200\n8;\n9;200\n"
	c := judge(t, must(recorder.NewReader(strings.NewReader(file), recorder.Format{})), schedule(t, scheduleA), bake.DefaultRules()).Channels[0]
	near(t, "strict", c.Strict, "0.300000")
	near(t, "lenient", c.Lenient, "0.300000")
	near(t, "in gaps", c.Gaps.Strict, "0.600000")
	if g := c.Gaps; c.Missing != 4 || g.Count != 2 || g.Seconds != 360 || g.Longest != 240 {
		t.Errorf("got %d missing, gaps %+v", c.Missing, g)
	}
	near(t, "hold", c.Holds[1].Longest, "2.000")
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
	if r.LongestGap != 60 || c.Gaps.Count != 4 || c.Strict != 0 || !slices.ContainsFunc(c.Warnings, func(w bake.Warning) bool { return w.Kind == bake.WarnSlow }) {
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
		"strict margin wider":   func(r *bake.Rules) { r.Strict.Below.Value = 20 },
		"only the lenient caps": func(r *bake.Rules) { r.Strict.Capped, r.Lenient.Capped = false, true },
		"nothing is possible":   func(r *bake.Rules) { r.Coldest.Value = 2000 },
		"negative share":        func(r *bake.Rules) { r.GapShare.Value = -0.1 },
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
			if limit != (bake.Limit{}) && (limit.Source == "" || limit.Unit == "") {
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
