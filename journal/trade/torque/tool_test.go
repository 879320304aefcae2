package torque_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/tradetest"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

func TestPublishedAdapters(t *testing.T) {
	_, table := tradetest.Published(t, "torque/adapter.csv")
	for _, row := range table {
		a := torque.Adapter{Wrench: tradetest.Quantity[unit.Length](t, row[0]), Offset: tradetest.Quantity[unit.Length](t, row[1]), Angle: tradetest.Number(t, row[2])}
		bolt := nm(t, row[3])
		got, err := a.Setting(bolt)
		got *= bolt.Value() / bolt.In(unit.NewtonMetre)
		if within := math.Pow(10, -tradetest.Number(t, row[5])) / 2; err != nil || math.Abs(got-tradetest.Number(t, row[4])) > within+1e-9 {
			t.Errorf("%q: set %g, %v", row, got, err)
		}
	}
}

func TestAdapterRefusals(t *testing.T) {
	for _, test := range []struct {
		wrench, offset string
		angle          float64
		torque, says   string
	}{
		{"", "50 mm", 0, "80 N.m", "the wrench’s length, not entered: "},
		{"0 mm", "50 mm", 0, "80 N.m", "the wrench’s length, 0 mm: "},
		{"400 mm", "", 0, "80 N.m", "the adapter’s length, not entered: "},
		{"400 mm", "50 in", 0, "80 N.m", "the adapter’s length, 50 in: it must be shorter than the wrench, 400 mm"},
		{"400 mm", "400 mm", 180, "80 N.m", "the adapter’s length, 400 mm: "},
		{"400 mm", "50 mm", 181, "80 N.m", "the adapter’s angle, 181°: "},
		{"400 mm", "50 mm", math.NaN(), "80 N.m", "the adapter’s angle, NaN°: "},
		{"400 mm", "50 mm", 0, "", "the "},
	} {
		a := torque.Adapter{Wrench: tradetest.Quantity[unit.Length](t, test.wrench), Offset: tradetest.Quantity[unit.Length](t, test.offset), Angle: test.angle}
		for _, f := range []func(unit.Torque) (float64, error){a.Setting, a.AtBolt} {
			got, err := f(nm(t, test.torque))
			var refused *torque.Error
			if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.says) || got != 0 {
				t.Errorf("%+v: %g, %v", test, got, err)
			}
		}
	}
}

func TestAdapterThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wrench := rapid.IntRange(100, 1000).Draw(t, "wrench")
		a := torque.Adapter{
			Wrench: tradetest.Quantity[unit.Length](t, strconv.Itoa(wrench)+" mm"),
			Offset: tradetest.Quantity[unit.Length](t, strconv.Itoa(rapid.IntRange(0, wrench-1).Draw(t, "offset"))+" mm"),
			Angle:  float64(rapid.IntRange(-180, 180).Draw(t, "angle")),
		}
		want := float64(rapid.IntRange(10, 3000).Draw(t, "torque")) / 10
		set, err := a.Setting(nm(t, unit.Format(want, unit.NewtonMetre, 1)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := a.AtBolt(nm(t, unit.Format(set, unit.NewtonMetre, 12)))
		if err != nil || math.Abs(got-want) > 1e-6*want {
			t.Fatalf("%g N·m came back as %g, %v", want, got, err)
		}
		if straight := math.Abs(a.Angle) < 90; straight && set > want || !straight && set < want-1e-9 {
			t.Fatalf("%+v: %g N·m at the bolt by setting %g", a, want, set)
		}
	})
}

func TestPermissible(t *testing.T) {
	_, table := tradetest.Published(t, "torque/permissible.csv")
	for _, row := range table {
		tool := torque.Tool{High: nm(t, row[0]), Class: torque.SettingScaled}
		if got, source, err := tool.Permissible(); err != nil || got != tradetest.Number(t, row[1]) || source == "" {
			t.Errorf("%q: %g, %q, %v", row, got, source, err)
		}
	}
	// The map of the other classes is from memory.
	for class, want := range map[torque.Class]float64{
		torque.IndicatingBar: 6, torque.IndicatingDial: 4, torque.IndicatingElectronic: 4, torque.ScrewdriverDial: 6, torque.ScrewdriverElectronic: 4,
		torque.SettingFixed: 4, torque.SettingUnscaled: 4, torque.ScrewdriverScaled: 6, torque.ScrewdriverFixed: 6, torque.ScrewdriverUnscaled: 6, torque.SettingBar: 6,
	} {
		got, source, err := torque.Tool{High: nm(t, "200 N.m"), Class: class}.Permissible()
		if err != nil || got != want || !strings.HasSuffix(source, "class "+string(class)) {
			t.Errorf("class %s: %g, %q, %v", class, got, source, err)
		}
	}
	stated := torque.Tool{High: nm(t, "200 N.m"), Class: torque.SettingScaled, Tolerance: tradetest.Quantity[unit.Ratio](t, "3 %")}
	if got, source, err := stated.Permissible(); err != nil || got != 3 || source != "as recorded for the tool" {
		t.Errorf("a stated tolerance wins: %g, %q, %v", got, source, err)
	}
	if _, _, err := (torque.Tool{Class: torque.SettingScaled}).Permissible(); !errors.Is(err, torque.ErrNoTolerance) {
		t.Errorf("without a range the class says nothing: %v", err)
	}
}

func TestCalibration(t *testing.T) {
	on := time.Date(2025, 3, 2, 9, 0, 0, 0, time.UTC)
	at := func(month time.Month, day, hour int) time.Time {
		return time.Date(2026, month, day, hour, 0, 0, 0, time.UTC)
	}
	for _, test := range []struct {
		name   string
		c      torque.Calibration
		at     time.Time
		reason string
		source string
	}{
		{"default, last day", torque.Calibration{On: on}, at(3, 2, 23), "", "12 months or 5000 cycles"},
		{"default, a day late", torque.Calibration{On: on}, at(3, 3, 0), "the tool’s calibration ran out on 2 March 2026", "12 months or 5000 cycles"},
		{"default, last cycle", torque.Calibration{On: on, Uses: 5000}, at(1, 1, 0), "", ""},
		{"default, a cycle late", torque.Calibration{On: on, Uses: 5001}, at(1, 1, 0), "the tool was used 5001 times since its calibration, and it holds for 5000", ""},
		{"own procedure is longer", torque.Calibration{On: on, Due: at(9, 1, 0), Uses: 9000, UsesDue: 10000}, at(8, 1, 0), "", "the owner’s procedure"},
		{"own procedure is shorter", torque.Calibration{On: on, Due: at(1, 1, 0), UsesDue: 10000}, at(2, 1, 0), "the tool’s calibration ran out on 1 January 2026", "the owner’s procedure"},
		{"own date, default cycles", torque.Calibration{On: on, Due: at(9, 1, 0), Uses: 5001}, at(8, 1, 0), "the tool was used 5001 times", "for what it leaves open"},
		{"never", torque.Calibration{}, at(1, 1, 0), "the tool was never found good in a calibration", "12 months"},
		{"before", torque.Calibration{On: at(2, 1, 0)}, at(1, 1, 0), "the tool was used before it was found good on 1 February 2026", "12 months"},
		{"dropped", torque.Calibration{On: on, Disturbed: at(1, 1, 8)}, at(1, 1, 9), "the tool was overloaded, dropped or repaired on 1 January 2026 and not checked since", "12 months"},
		{"dropped afterwards", torque.Calibration{On: on, Disturbed: at(1, 1, 10)}, at(1, 1, 9), "", "12 months"},
		{"dropped and checked", torque.Calibration{On: on, Disturbed: on.Add(-time.Hour)}, at(1, 1, 9), "", "12 months"},
	} {
		got := test.c.At(test.at)
		if got.OK != (test.reason == "") || !strings.HasPrefix(got.Reason, test.reason) || !strings.Contains(got.Source, test.source) {
			t.Errorf("%s: %+v", test.name, got)
		}
	}
}
