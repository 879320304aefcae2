package bake_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fettlebook/journal/trade/bake"
)

func TestSeriesRefuses(t *testing.T) {
	tests := []struct {
		seconds, readings string
		scale             bake.Scale
		number            int
		says              string
	}{
		{"0 1", "20 21", "K", 0, "°C or °F"},
		{"", "", bake.Celsius, 0, "no times"},
		{"0 1", "20", bake.Celsius, 0, "1 reading for 2 times"},
		{"0 1 1", "20 21 22", bake.Celsius, 3, "not later"},
		{"0 x", "20 21", bake.Celsius, 2, "not a plain decimal"},
		{"0 1", "20 ", bake.Celsius, 2, "not a plain decimal"},
		{"0 1", "20 NaN", bake.Celsius, 2, "not a plain decimal"},
	}
	for _, test := range tests {
		s, err := bake.NewSeries(test.seconds, test.scale, bake.ChannelSeries{Channel: "1", Readings: test.readings})
		if err == nil {
			_, err = bake.MinutesAbove(s, 150)
		}
		var series *bake.SeriesError
		if !errors.As(err, &series) || series.Number != test.number || !strings.Contains(err.Error(), test.says) {
			t.Errorf("%q %q: got %v", test.seconds, test.readings, err)
		}
	}
	if _, err := bake.NewSeries("0 1", bake.Celsius); err == nil {
		t.Error("a trace without channels is taken")
	}
}

func TestSeriesKeepsWhatWasLost(t *testing.T) {
	s, err := bake.NewSeries("0 60 120", bake.Fahrenheit, bake.ChannelSeries{Channel: "1", Readings: "392 - -500"})
	if err != nil {
		t.Fatal(err)
	}
	var got []float64
	for sample, err := range s.Samples() {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, sample.Celsius[0])
	}
	if len(got) != 3 || math.Abs(got[0]-200) > 1e-9 || !math.IsNaN(got[1]) || got[2] > bake.AbsoluteZero {
		t.Errorf("got %v", got)
	}
}
