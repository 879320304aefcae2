package bake_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

func TestScheduleRefuses(t *testing.T) {
	tests := []struct {
		text string
		rule bake.ScheduleRule
		says string
	}{
		{"", bake.RuleNoPoints, "no point"},
		{" , ;", bake.RuleNoPoints, "no point"},
		{"20 min 180 °C", bake.RuleWritten, "10 min @ 200 °C"},
		{"20 @ 180 °C", bake.RuleWritten, "unit is missing"},
		{"20 min @ 180", bake.RuleWritten, "unit is missing"},
		{"20 min @ NaN °C", bake.RuleWritten, "NaN"},
		{"20 min @ Inf °C", bake.RuleWritten, "Inf"},
		{"-20 min @ 180 °C", bake.RuleWritten, "negative"},
		{"20 min @ -300 °C", bake.RuleWritten, "absolute zero"},
		{"20 min @ -273.15 °C", bake.RuleAbsoluteZero, "-273.15 °C is not above absolute zero"},
		{"0 min @ 180 °C, 10 min @ 200 °C", bake.RuleTime, "0 min is not a time"},
		{"20 min @ 200 °C, 10 min @ 200 °C", bake.RuleTemperatures, "two points are at 200 °C"},
		{"20 min @ 200 °C, 10 min @ 392 °F", bake.RuleTemperatures, "two points are at 392 °F"},
		{"10 min @ 180 °C, 10 min @ 200 °C", bake.RuleTimes, "10 min is asked for at both"},
		{"10 min @ 180 °C, 20 min @ 200 °C", bake.RuleHotterFaster, "200 °C asks for 20 min, longer than the 10 min at 180 °C"},
		{"20 min @ 180 °C; 25 min @ 190 °C; 10 min @ 200 °C", bake.RuleHotterFaster, "190 °C asks for 25 min"},
		{"100000 min @ 199.9 °C, 0.01 min @ 200 °C", bake.RuleSteepness, "no powder has"},
	}
	for _, test := range tests {
		_, err := bake.ParseSchedule(test.text)
		var refused *bake.ScheduleError
		if !errors.As(err, &refused) || refused.Rule != test.rule || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%s: got %v", test.text, err)
		}
	}
	var quantity *unit.Error
	if _, err := bake.ParseSchedule("20 min @ 180"); !errors.As(err, &quantity) {
		t.Errorf("the quantity's own error is lost: %v", err)
	}
	for _, point := range schedule(t, scheduleA).Points() {
		for _, missing := range []bake.Point{{Metal: point.Metal}, {Hold: point.Hold}} {
			_, err := bake.NewSchedule(point, missing)
			var refused *bake.ScheduleError
			if !errors.As(err, &refused) || refused.Rule != bake.RuleMissing {
				t.Errorf("%v: got %v", missing, err)
			}
		}
	}
	if _, err := bake.NewSchedule(); err == nil {
		t.Error("a schedule without points is taken")
	}
}

func TestScheduleWarnings(t *testing.T) {
	for text, want := range map[string][]bake.WarningKind{
		scheduleA:                            nil,
		"20 min @ 350 °F, 10 min @ 400 °F":   nil,
		"20 min @ 350 °C, 10 min @ 400 °C":   {bake.WarnFahrenheit, bake.WarnFahrenheit},
		"20 min @ 180 °C, 10 min @ 270 °C":   {bake.WarnSuspect, bake.WarnEnergy},
		"10 min @ 200 °C":                    {bake.WarnOnePoint},
		"11 min @ 180 °C, 10 min @ 200 °C":   {bake.WarnEnergy}, // 8.5 kJ/mol
		"200 min @ 180 °C, 10 min @ 200 °C":  {bake.WarnEnergy}, // 267 kJ/mol
		"20 min @ 180 °C, 10.1 min @ 200 °C": nil,
	} {
		var got []bake.WarningKind
		for _, w := range schedule(t, text).Warnings() {
			got = append(got, w.Kind)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: got %q, want %q", text, got, want)
		}
	}
}

// Points on a line give that line back; points beside it, the least squares in ln t.
func TestScheduleOfMorePoints(t *testing.T) {
	exact := schedule(t, scheduleA)
	middle := exact.Required(190)
	hold, err := unit.Parse[unit.Duration](unit.Format(middle, unit.Minute, 12))
	if err != nil {
		t.Fatal(err)
	}
	metal, err := unit.Parse[unit.Temperature]("190 °C")
	if err != nil {
		t.Fatal(err)
	}
	three, err := bake.NewSchedule(append(exact.Points(), bake.Point{Metal: metal, Hold: hold})...)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := three.ActivationEnergy(), exact.ActivationEnergy(); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("three points on the line: %v, want %v", got, want)
	}

	beside := schedule(t, "20 min @ 180 °C, 15 min @ 190 °C, 10 min @ 200 °C")
	misfit := func(energy, minutes float64) (sum float64) {
		for c, m := range map[float64]float64{180: 20, 190: 15, 200: 10} {
			d := math.Log(m) - math.Log(minutes) - energy/bake.GasConstant*(1/(c+273.15)-1/473.15)
			sum += d * d
		}
		return sum
	}
	energy, minutes := beside.ActivationEnergy(), beside.Required(200)
	least := misfit(energy, minutes)
	for _, e := range []float64{0.99, 1, 1.01} {
		for _, m := range []float64{0.99, 1, 1.01} {
			if got := misfit(energy*e, minutes*m); got < least {
				t.Errorf("%g times the energy and %g times the minutes fit better: %v < %v", e, m, got, least)
			}
		}
	}
}

func TestScheduleOfOnePoint(t *testing.T) {
	s := schedule(t, "10 min @ 200 °C")
	r := judge(t, memory(t, "0:199.9 30:199.9 40:199.9", bake.Celsius), s, bounds(50, 1000))
	if c := r.Channels[0]; c.Strict != 0 || c.Lenient != 0 {
		t.Errorf("below the only point: %v and %v", c.Strict, c.Lenient)
	}
	r = judge(t, memory(t, "0:205 5:205 10:205", bake.Celsius), s, bounds(50, 1000))
	if near(t, "hotter", r.Channels[0].Strict, "1.000000000"); r.Verdict.Word != bake.Met {
		t.Errorf("got %s", r.Verdict.Say)
	}
}

func TestScheduleTextReadsBack(t *testing.T) {
	s := schedule(t, "10min@392°F; 20 min @ 180 °C")
	if got, want := s.String(), "20 min @ 180 °C, 10min @ 392°F"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	text, err := json.Marshal(s.Points())
	if err != nil {
		t.Fatal(err)
	}
	var points []bake.Point
	if err := json.Unmarshal(text, &points); err != nil || !slices.Equal(points, s.Points()) {
		t.Errorf("%s reads back as %v, %v", text, points, err)
	}
}

func FuzzParseSchedule(f *testing.F) {
	f.Add(scheduleA)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := bake.ParseSchedule(text)
		if err != nil {
			return
		}
		if again, err := bake.ParseSchedule(s.String()); err != nil || again.ActivationEnergy() != s.ActivationEnergy() {
			t.Fatalf("%q reads back differently: %v", s, err)
		}
		for _, p := range s.Points() {
			if m := s.Required(p.Metal.In(unit.Celsius)); !(m > 0) || math.IsInf(m, 0) {
				t.Fatalf("%q asks for %v min at %s", s, m, p.Metal)
			}
		}
	})
}

// drawSchedule draws a schedule of two points as sheets have them.
func drawSchedule(t *rapid.T) bake.Schedule {
	low := rapid.IntRange(140, 190).Draw(t, "low")
	high := low + rapid.IntRange(10, 30).Draw(t, "rise")
	fast := rapid.IntRange(5, 15).Draw(t, "fast")
	slow := fast + rapid.IntRange(3, 20).Draw(t, "slower")
	return schedule(t, fmt.Sprintf("%d min @ %d °C, %d min @ %d °C", slow, low, fast, high))
}
