package torque_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/tradetest"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

var used = time.Date(2026, 3, 2, 14, 0, 0, 0, time.UTC)

func nm(t rapid.TB, text string) unit.Torque {
	t.Helper()
	return tradetest.Quantity[unit.Torque](t, text)
}

// wrench is a click wrench of 20 to 200 N·m, within 4 % and in date.
func wrench(t rapid.TB) torque.Tool {
	t.Helper()
	return torque.Tool{
		Low: nm(t, "20 N.m"), High: nm(t, "200 N.m"), Class: torque.SettingScaled,
		Calibration: torque.Calibration{On: used.AddDate(0, -6, 0), Uses: 900},
	}
}

func between(t rapid.TB, low, high string) torque.Spec {
	t.Helper()
	return torque.Spec{Low: nm(t, low), High: nm(t, high), Source: "manual, page 31-12"}
}

// 105 N·m within ±4 % is 100.8 to 109.2 N·m, and within ±6 % 98.7 to 111.3 (computed).
func TestVerdicts(t *testing.T) {
	for _, test := range []struct {
		tolerance, low, high string
		want, plain          torque.Verdict
		say                  string
	}{
		{"4 %", "100.8 N.m", "109.2 N.m", torque.Inside, torque.Inside, "105 N.m is inside 100.8 N·m to 109.2 N·m with the tool’s ±4 % to either side, 100.8 N·m to 109.2 N·m"},
		{"4 %", "100.9 N.m", "109.2 N.m", torque.InsidePlain, torque.Inside, "105 N.m is inside 100.9 N·m to 109.2 N·m only on the plain reading: with the tool’s ±4 % it may be anything from 100.8 N·m to 109.2 N·m"},
		{"4 %", "100.8 N.m", "109.1 N.m", torque.InsidePlain, torque.Inside, ""},
		{"6 %", "98.7 N.m", "111.3 N.m", torque.Inside, torque.Inside, ""},
		{"6 %", "98.8 N.m", "111.3 N.m", torque.InsidePlain, torque.Inside, ""},
		{"6 %", "98.7 N.m", "111.2 N.m", torque.InsidePlain, torque.Inside, ""},
		{"4 %", "105 N.m", "120 N.m", torque.InsidePlain, torque.Inside, ""},
		{"4 %", "105.1 N.m", "120 N.m", torque.Outside, torque.Outside, "105 N.m is outside 105.1 N·m to 120.0 N·m"},
		{"4 %", "90 N.m", "104.9 N.m", torque.Outside, torque.Outside, ""},
	} {
		tool := wrench(t)
		tool.Tolerance = tradetest.Quantity[unit.Ratio](t, test.tolerance)
		got, err := torque.Judge(torque.Use{Reading: nm(t, "105 N.m"), At: used}, between(t, test.low, test.high), tool)
		if err != nil || got.Verdict != test.want || got.Plain != test.plain || got.Warnings != nil {
			t.Errorf("%+v: %s, %q, %v", test, got.Verdict, got.Warnings, err)
		}
		if test.say != "" && got.Say() != test.say {
			t.Errorf("got %q, want %q", got.Say(), test.say)
		}
	}
}

func TestNotProven(t *testing.T) {
	for name, test := range map[string]struct {
		change func(*torque.Use, *torque.Spec, *torque.Tool)
		say    string
		plain  torque.Verdict
	}{
		"below its range": {func(u *torque.Use, s *torque.Spec, _ *torque.Tool) {
			u.Reading, *s = nm(t, "19 N.m"), between(t, "15 N.m", "25 N.m")
		},
			"19 N.m is not proven: 19 N.m is below the tool’s lowest marked value, 20 N.m, where its tolerance no longer holds; the plain reading is inside 15.0 N·m to 25.0 N·m", torque.Inside},
		"above its range": {func(_ *torque.Use, _ *torque.Spec, tool *torque.Tool) { tool.High = nm(t, "100 N.m") },
			"105 N.m is not proven: 105 N.m is above the tool’s highest marked value, 100 N.m; the plain reading is inside 90.0 N·m to 120.0 N·m", torque.Inside},
		"no range": {func(_ *torque.Use, _ *torque.Spec, tool *torque.Tool) { tool.Low = unit.Torque{} },
			"105 N.m is not proven: the tool’s range is not recorded: write its lowest and highest marked values; the plain reading is inside 90.0 N·m to 120.0 N·m", torque.Inside},
		"no tolerance": {func(_ *torque.Use, _ *torque.Spec, tool *torque.Tool) { tool.Class = "" },
			"105 N.m is not proven: the tool’s tolerance is not recorded: write the one on its certificate, or its class; the plain reading is inside 90.0 N·m to 120.0 N·m", torque.Inside},
		"no specification": {func(_ *torque.Use, s *torque.Spec, _ *torque.Tool) { *s = torque.Spec{} },
			"105 N.m is not proven: there is no specification for the joint: record the figure and where it is printed", 0},
		"no source": {func(_ *torque.Use, s *torque.Spec, _ *torque.Tool) { s.Source = "" },
			"105 N.m is not proven: the specification has no source: name the manual’s page, the label, or the customer who supplied it", 0},
		"no tolerance in the specification, nor of the tool": {func(_ *torque.Use, s *torque.Spec, tool *torque.Tool) {
			*s, tool.Class = torque.Spec{Nominal: nm(t, "105 N.m"), Source: "label"}, ""
		}, "105 N.m is not proven: the tool’s tolerance is not recorded: write the one on its certificate, or its class; the specification has a nominal figure and no tolerance: write the tolerance, or the low and high figures, from its source", 0},
		"an angle that was not turned": {func(_ *torque.Use, s *torque.Spec, _ *torque.Tool) {
			*s = torque.Spec{Nominal: nm(t, "105 N.m"), Angle: 90, Source: "label"}
		}, "105 N.m is not proven: the figure asks for a further 90°, and no angle is on record", torque.Inside},
		"adapter without lengths": {func(u *torque.Use, _ *torque.Spec, _ *torque.Tool) { u.Adapter = new(torque.Adapter) },
			"105 N.m is not proven: an adapter was used and its lengths were not recorded, so nobody knows what the bolt got", 0},
		"past its date, and outside": {func(u *torque.Use, s *torque.Spec, tool *torque.Tool) {
			tool.Calibration.Due = used.AddDate(0, 0, -1)
			*s = between(t, "120 N.m", "140 N.m")
		}, "105 N.m is not proven: the tool’s calibration ran out on 1 March 2026; the plain reading is outside 120.0 N·m to 140.0 N·m", torque.Outside},
	} {
		use, spec, tool := torque.Use{Reading: nm(t, "105 N.m"), At: used}, between(t, "90 N.m", "120 N.m"), wrench(t)
		test.change(&use, &spec, &tool)
		got, err := torque.Judge(use, spec, tool)
		if err != nil || got.Verdict != torque.NotProven || got.Plain != test.plain || got.Say() != test.say {
			t.Errorf("%s: %v, plain %v, %v\n got %q\nwant %q", name, got.Verdict, got.Plain, err, got.Say(), test.say)
		}
	}
}

func TestAdapterChangesWhatTheBoltGets(t *testing.T) {
	use := torque.Use{Reading: nm(t, "80 N.m"), At: used, Adapter: &torque.Adapter{Wrench: tradetest.Quantity[unit.Length](t, "400 mm"), Offset: tradetest.Quantity[unit.Length](t, "50 mm")}}
	got, err := torque.Judge(use, between(t, "80 N.m", "100 N.m"), wrench(t))
	if err != nil || got.Verdict != torque.Inside || math.Abs(got.AtBolt-90) > 1e-9 || len(got.Warnings) != 1 {
		t.Errorf("%+v, %v", got, err)
	}
	if want := "80 N.m at the tool is 90.0 N·m at the bolt and is inside 80.0 N·m to 100.0 N·m with the tool’s ±4 % to either side, 86.4 N·m to 93.6 N·m"; got.Say() != want {
		t.Errorf("got %q", got.Say())
	}
	if got, err = torque.Judge(use, between(t, "70 N.m", "89 N.m"), wrench(t)); err != nil || got.Verdict != torque.Outside {
		t.Errorf("judged by the tool’s reading instead of the bolt's: %s, %v", got.Say(), err)
	}
}

func TestSlipsOfThePen(t *testing.T) {
	wide := wrench(t)
	wide.Low, wide.High = nm(t, "1 N.m"), nm(t, "400 N.m")
	for _, test := range []struct {
		reading string
		spec    torque.Spec
		joint   torque.Joint
		warning string // in the last warning; empty for none
	}{
		{"220 N.m", between(t, "20 N.m", "24 N.m"), "", "220 N.m would be inside the specification if it were 10 times smaller: check"},
		{"2.2 N.m", between(t, "20 N.m", "24 N.m"), "", "10 times larger"},
		{"120 lbf.ft", between(t, "100 lbf.in", "130 lbf.in"), "", "12 times smaller, as when lb·in is written for lb·ft"},
		{"10 lbf.in", between(t, "9 lbf.ft", "11 lbf.ft"), "", "12 times larger"},
		{"30 N.m", between(t, "20 N.m", "24 N.m"), "", ""},
		{"264 N.m", between(t, "20 N.m", "24 N.m"), "", ""},
		{"120 lbf.ft", between(t, "110 lbf.ft", "130 lbf.ft"), torque.Bleeder, "130 lbf.ft is unusual for a bleeder screw and would be usual if it were 12 times smaller"},
		{"270 N.m", between(t, "250 N.m", "290 N.m"), torque.Banjo, "unusual for a banjo bolt and would be usual if it were 10 times smaller"},
		{"129 N.m", between(t, "110 N.m", "140 N.m"), torque.WheelNut, ""},
		{"129 N.m", between(t, "110 N.m", "140 N.m"), torque.BracketBolt, ""},
		{"35 N.m", between(t, "30 N.m", "40 N.m"), torque.GuidePin, ""},
	} {
		got, err := torque.Judge(torque.Use{Reading: nm(t, test.reading), At: used, Joint: test.joint}, test.spec, wide)
		if err != nil {
			t.Fatal(err)
		}
		last := strings.Join(got.Warnings, "\n")
		if test.warning == "" && last != "" || !strings.Contains(last, test.warning) {
			t.Errorf("%s for %q: warnings %q, want %q", test.reading, test.joint, got.Warnings, test.warning)
		}
	}
}

func TestRefusals(t *testing.T) {
	good := torque.Use{Reading: nm(t, "105 N.m"), At: used}
	spec := between(t, "90 N.m", "120 N.m")
	adapted := good
	adapted.Adapter = &torque.Adapter{Offset: tradetest.Quantity[unit.Length](t, "50 mm")}
	reversed, wild, odd := wrench(t), wrench(t), wrench(t)
	reversed.Low, reversed.High = reversed.High, reversed.Low
	wild.Tolerance = tradetest.Quantity[unit.Ratio](t, "40 %")
	odd.Class = "III A"
	for _, test := range []struct {
		use  torque.Use
		spec torque.Spec
		tool torque.Tool
		says string
	}{
		{torque.Use{At: used}, spec, wrench(t), "the reading, not entered: "},
		{torque.Use{Reading: nm(t, "0 N.m"), At: used}, spec, wrench(t), "the reading, 0 N.m: "},
		{torque.Use{Reading: good.Reading}, spec, wrench(t), "the time of use, not entered: "},
		{adapted, spec, wrench(t), "the wrench’s length, not entered: "},
		{good, between(t, "120 N.m", "90 N.m"), wrench(t), "the specified range, 120 N.m to 90 N.m: "},
		{good, between(t, "90 N.m", ""), wrench(t), "the specified range, 90 N.m to not entered: it needs both ends"},
		{good, torque.Spec{Nominal: nm(t, "10 N.m"), Tolerance: nm(t, "12 N.m"), Source: "label"}, wrench(t), "the specified range, -2.0 N·m to 22.0 N·m: "},
		{good, torque.Spec{Nominal: nm(t, "10 N.m"), Low: nm(t, "90 N.m"), High: nm(t, "120 N.m"), Source: "label"}, wrench(t), "the nominal torque, 10 N.m: it lies outside its own range, 90 N.m to 120 N.m"},
		{good, spec, reversed, "the tool’s range, 200 N.m to 20 N.m: "},
		{good, spec, wild, "the tool’s tolerance, 40 %: "},
		{good, spec, odd, "the tool’s class, III A: "},
	} {
		got, err := torque.Judge(test.use, test.spec, test.tool)
		var refused *torque.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.says) || got.Verdict != 0 {
			t.Errorf("want %q, got %v, %v", test.says, got.Verdict, err)
		}
	}
	if torque.Verdict(0).String() != "no verdict" || torque.InsidePlain.String() != "inside only on the plain reading" {
		t.Error("the words of the verdicts changed")
	}
}

func TestLimits(t *testing.T) {
	for _, test := range []struct {
		spec      torque.Spec
		low, high float64
		assumed   bool
	}{
		{torque.Spec{Nominal: nm(t, "105 N.m"), Tolerance: nm(t, "10 N.m")}, 95, 115, false},
		{torque.Spec{Nominal: nm(t, "105 N.m"), Percent: tradetest.Quantity[unit.Ratio](t, "10 %")}, 94.5, 115.5, false},
		{torque.Spec{Nominal: nm(t, "105 N.m"), Assume: tradetest.Quantity[unit.Ratio](t, "10 %")}, 94.5, 115.5, true},
		{torque.Spec{Nominal: nm(t, "105 N.m"), Tolerance: nm(t, "10 N.m"), Assume: tradetest.Quantity[unit.Ratio](t, "10 %")}, 95, 115, false},
		{torque.Spec{Nominal: nm(t, "105 N.m"), Low: nm(t, "100 N.m"), High: nm(t, "120 N.m"), Tolerance: nm(t, "1 N.m")}, 100, 120, false},
		{torque.Spec{Low: nm(t, "80 lbf.ft"), High: nm(t, "129 lbf.ft")}, 108.4654, 174.9005, false},
	} {
		if _, err := test.spec.Limits(); !errors.Is(err, torque.ErrNoSource) {
			t.Errorf("%+v: taken without a source: %v", test.spec, err)
		}
		test.spec.Source = "manual"
		got, err := test.spec.Limits()
		if err != nil || math.Abs(got.Low-test.low) > 5e-5 || math.Abs(got.High-test.high) > 5e-5 || got.Assumed != test.assumed {
			t.Errorf("%+v: %+v, %v", test.spec, got, err)
		}
		verdict, err := torque.Judge(torque.Use{Reading: nm(t, "105 N.m"), At: used}, test.spec, wrench(t))
		if err != nil || test.assumed != (len(verdict.Warnings) == 1) {
			t.Errorf("%+v: warnings %q, %v", test.spec, verdict.Warnings, err)
		}
	}
}

func TestGuardBandIsNeverBetterThanThePlainReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reading := float64(rapid.IntRange(200, 2000).Draw(t, "reading")) / 10
		low := float64(rapid.IntRange(100, 2000).Draw(t, "low")) / 10
		high := low + float64(rapid.IntRange(1, 500).Draw(t, "wide"))/10
		judge := func(show func(newtonMetres float64) string) torque.Result {
			spec := between(t, show(low), show(high))
			got, err := torque.Judge(torque.Use{Reading: nm(t, show(reading)), At: used}, spec, wrench(t))
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		metric := judge(func(v float64) string { return unit.Format(v, unit.NewtonMetre, 1) })
		inside := low <= reading && reading <= high
		if (metric.Plain == torque.Inside) != inside {
			t.Fatalf("plain reading %v: %s", metric.Plain, metric.Say())
		}
		if (metric.Verdict == torque.Outside) == inside || metric.Verdict == torque.NotProven {
			t.Fatalf("plain reading %v: %s", metric.Plain, metric.Say())
		}
		feet := judge(func(v float64) string { return unit.Format(v/1.3558179483314004, unit.PoundForceFoot, 13) })
		if feet.Verdict != metric.Verdict || feet.Plain != metric.Plain {
			t.Fatalf("in N·m: %s\nin lbf·ft: %s", metric.Say(), feet.Say())
		}
	})
}
