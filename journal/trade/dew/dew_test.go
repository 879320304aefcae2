package dew_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/dew"
	"fettlebook/journal/trade/tradetest"
	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

func TestPublishedDewPoints(t *testing.T) {
	_, table := tradetest.Published(t, "dew/points.csv")
	for _, row := range table {
		air, humidity, source := row[0], row[1], row[4]
		want, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		// Printed tables are rounded, and differ by one in the last place.
		within := 0.06
		if row[3] == "0" {
			within = 0.5
		}
		got, err := dew.Point(tradetest.Quantity[unit.Temperature](t, air), tradetest.Quantity[unit.Ratio](t, humidity))
		if err != nil || math.Abs(got-want) > within {
			t.Errorf("air of %s and %s: %.3f °C, %v; want %g (%s)", air, humidity, got, err, want, source)
		}
	}
}

func TestJudge(t *testing.T) {
	for _, test := range []struct {
		air, humidity, metal, margin string
		pass                         bool
		say                          string
	}{
		// 14.4 + 3 = 17.4 °C is the least metal temperature of the paint maker's example.
		{"20 °C", "70 %", "17.4 °C", "", true, "the metal is 3.0 K above the dew point of 14.4 °C; at least 3.0 K is required: passes"},
		{"20 °C", "70 %", "17.3 °C", "", false, "the metal is 2.9 K above the dew point of 14.4 °C; at least 3.0 K is required: fails"},
		{"20 °C", "70 %", "17.3 °C", "2 K", true, "the metal is 2.9 K above the dew point of 14.4 °C; at least 2.0 K is required: passes"},
		{"20 °C", "70 %", "10 °C", "", false, "the metal is 4.4 K below the dew point of 14.4 °C, so it is wet; at least 3.0 K above it is required: fails"},
		// 16 °C and 71 % give 11 °C by a contractor's chart, and metal of 13 °C is too cold.
		{"16 °C", "71 %", "13 °C", "", false, "the metal is 2.3 K above the dew point of 10.7 °C; at least 3.0 K is required: fails"},
		{"68 °F", "70 %", "70 °F", "5 °F", true, "the metal is 12.1 °F above the dew point of 57.9 °F; at least 5.0 °F is required: passes"},
	} {
		var margin unit.TemperatureDifference
		if err := margin.UnmarshalText([]byte(test.margin)); err != nil {
			t.Fatal(err)
		}
		got, err := dew.Judge(dew.Reading{Air: tradetest.Quantity[unit.Temperature](t, test.air), Humidity: tradetest.Quantity[unit.Ratio](t, test.humidity), Metal: tradetest.Quantity[unit.Temperature](t, test.metal), Margin: margin})
		if err != nil || got.Pass != test.pass || got.Say() != test.say {
			t.Errorf("%+v:\n got %v, %q, %v", test, got.Pass, got.Say(), err)
		}
		if got.Formula == "" || got.WantedSource == "" {
			t.Errorf("%+v: no source in %+v", test, got)
		}
		if less := test.margin == "2 K" || test.margin == "5 °F"; less != (len(got.Warnings) == 1) {
			t.Errorf("%+v: warnings %q", test, got.Warnings)
		}
	}
}

func TestRefusals(t *testing.T) {
	for _, test := range []struct {
		air, humidity, metal, margin, problem string
	}{
		{"", "70 %", "20 °C", "", "the air, not entered"},
		{"20 °C", "", "20 °C", "", "the humidity, not entered"},
		{"20 °C", "70 %", "", "", "the metal, not entered"},
		{"70 °C", "70 %", "20 °C", "", "the air, 70 °C: the formula holds from -40 °C to 50 °C: check the number, and whether it is °C or °F"},
		{"-40.1 °C", "70 %", "20 °C", "", "the air, -40.1 °C"},
		{"20 °C", "0 %", "20 °C", "", "the humidity, 0 %"},
		{"20 °C", "100.1 %", "20 °C", "", "the humidity, 100.1 %: relative humidity must be above 0 % and at most 100 %: check the sensor"},
		{"-30 °C", "5 %", "20 °C", "", "the air and its humidity, -30 °C and 5 %: the dew point is below -40 °C"},
		{"20 °C", "70 %", "20 °C", "-1 K", "the margin, -1 K"},
	} {
		var (
			air, metal unit.Temperature
			humidity   unit.Ratio
			margin     unit.TemperatureDifference
		)
		err := errors.Join(air.UnmarshalText([]byte(test.air)), metal.UnmarshalText([]byte(test.metal)),
			humidity.UnmarshalText([]byte(test.humidity)), margin.UnmarshalText([]byte(test.margin)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := dew.Judge(dew.Reading{Air: air, Humidity: humidity, Metal: metal, Margin: margin})
		var refused *dew.Error
		if !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), test.problem) {
			t.Errorf("%+v: %v", test, err)
		}
		if got.Pass || got.DewPoint != 0 {
			t.Errorf("%+v: figures beside an error: %+v", test, got)
		}
	}
}

func TestFrostIsWarnedOf(t *testing.T) {
	got, err := dew.Judge(dew.Reading{Air: tradetest.Quantity[unit.Temperature](t, "2 °C"), Humidity: tradetest.Quantity[unit.Ratio](t, "60 %"), Metal: tradetest.Quantity[unit.Temperature](t, "5 °C")})
	if err != nil || got.DewPoint >= 0 || len(got.Warnings) != 1 {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestDewPointIsBelowTheAirAndRisesWithHumidity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.IntRange(0, 500).Draw(t, "tenths")
		rh := rapid.IntRange(5, 99).Draw(t, "percent")
		air := tradetest.Quantity[unit.Temperature](t, unit.Format(float64(c)/10, unit.Celsius, 1))
		dry, err := dew.Point(air, tradetest.Quantity[unit.Ratio](t, strconv.Itoa(rh)+" %"))
		if err != nil {
			t.Fatal(err)
		}
		wet, err := dew.Point(air, tradetest.Quantity[unit.Ratio](t, strconv.Itoa(rh+1)+" %"))
		if err != nil {
			t.Fatal(err)
		}
		if !(dry < wet && wet <= air.In(unit.Celsius)+1e-9) {
			t.Fatalf("air of %s: %d %% gives %g, one more gives %g", air, rh, dry, wet)
		}
		again, err := dew.Point(tradetest.Quantity[unit.Temperature](t, unit.Format(float64(c)*0.18+32, unit.Fahrenheit, 6)), tradetest.Quantity[unit.Ratio](t, strconv.Itoa(rh)+" %"))
		if err != nil || math.Abs(again-dry) > 1e-5 {
			t.Fatalf("air of %s typed in °F: %g, %v; want %g", air, again, err, dry)
		}
	})
}
