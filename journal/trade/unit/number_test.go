package unit_test

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

// A number comes back as it was written, and nothing but a decimal is one.
func TestNumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := float64(rapid.IntRange(-1e9, 1e9).Draw(t, "thousandths")) / 1000
		got, err := unit.Number(fmt.Sprintf("%.3f", want))
		if err != nil || got != want {
			t.Fatalf("%v, %v instead of %v", got, err, want)
		}
	})
	for _, text := range []string{"", "NaN", "Inf", "-inf", "1e3", "0x1p4", "1_000", "2,5", "1.2.3", "two", "3 4", "5.", ".5", "--1", "12 mm", strings.Repeat("1", 41)} {
		var refused *unit.Error
		if v, err := unit.Number(text); !errors.As(err, &refused) || refused.Text != text || refused.Problem == "" {
			t.Errorf("%q is %v, %v", text, v, err)
		}
	}
}

// What instruments write is read to the last bit as the strconv package reads it.
func TestDecimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Float64Range(-1e12, 1e12).Draw(t, "value")
		text := strconv.FormatFloat(want, rapid.SampledFrom([]byte("fe")).Draw(t, "format"), rapid.IntRange(0, 12).Draw(t, "digits"), 64)
		want, _ = strconv.ParseFloat(text, 64)
		if rapid.Bool().Draw(t, "comma") {
			text = strings.Replace(text, ".", ",", 1)
		}
		if got, ok := unit.Decimal(text); !ok || got != want {
			t.Fatalf("%q is %v, %v; want %v", text, got, ok, want)
		}
		if got, ok := unit.Decimal([]byte(text)); !ok || got != want {
			t.Fatalf("the bytes %q are %v, %v; want %v", text, got, ok, want)
		}
	})
	for _, text := range []string{"", "-", "+", ".", "1 ", " 1", "1.2.3", "1,2.3", "1e", "NaN", "Inf", "1e999", "0x1p4", "1_000", "−1", strings.Repeat("1", 65)} {
		if got, ok := unit.Decimal(text); ok || got != 0 && !math.IsInf(got, 0) {
			t.Errorf("%q is %v, %v", text, got, ok)
		}
	}
}

func TestSplit(t *testing.T) {
	for text, want := range map[string][2]string{
		"": {"", ""}, "27": {"27", ""}, " 27 N.m ": {"27", "N.m"}, "27N.m": {"27", "N.m"}, "−5\u00a0°C": {"−5", "°C"},
		"1.2.3 mm": {"1.2.3", "mm"}, "1,5 mm": {"1,5", "mm"}, "mm": {"", "mm"}, "4 US fl oz": {"4", "US fl oz"}, "63 120 km": {"63 120", "km"}, "63\u202f120 km": {"63\u202f120", "km"}, "63 12 km": {"63", "12 km"}, "1 000.5 mL": {"1 000.5", "mL"},
		"105 110": {"105 110", ""},
	} {
		if number, spelling := unit.Split(text); number != want[0] || spelling != want[1] {
			t.Errorf("%q parts into %q and %q, want %q", text, number, spelling, want)
		}
	}
}

func TestConvert(t *testing.T) {
	if got := unit.Convert(392, unit.Fahrenheit, unit.Celsius); got != 200 {
		t.Errorf("392 °F are %v °C", got)
	}
	if got := unit.Convert(200, unit.Celsius, unit.Fahrenheit); got != 392 {
		t.Errorf("200 °C are %v °F", got)
	}
}
