package unit_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"testing"

	"fettlebook/journal/trade/unit"

	"pgregory.net/rapid"
)

// in parses a text of the dimension of u and returns it in u.
func in[D unit.Dimension](t *testing.T, text string, u unit.Unit[D]) float64 {
	t.Helper()
	q, err := unit.Parse[unit.Of[D]](text)
	if err != nil {
		t.Fatal(err)
	}
	return q.In(u)
}

func TestConversions(t *testing.T) {
	tests := []struct {
		got, want float64
		digits    int // decimals that the source prints
		source    string
	}{
		{in(t, "1 lbf.ft", unit.NewtonMetre), 1.355818, 6, "NIST SP 811 B.8: pound-force foot 1.355 818 E+00"},
		{in(t, "1 lbf.in", unit.NewtonMetre), 0.1129848, 7, "NIST SP 811 B.8: pound-force inch 1.129 848 E-01"},
		{in(t, "1 kgf·m", unit.NewtonMetre), 9.80665, 5, "NIST SP 811 B.8: kilogram-force meter 9.806 65 E+00 N·m, exact"},
		{in(t, "1 daN·m", unit.NewtonMetre), 10, 10, "SI prefix"},
		{in(t, "20 ft-lbs", unit.NewtonMetre), 27.1164, 4, "20 × 1.3558179483314"},
		{in(t, "1 psi", unit.Kilopascal), 6.894757, 6, "NIST SP 811 B.8: psi 6.894 757 E+00 kPa"},
		{in(t, "1 US fl oz", unit.Millilitre), 29.57353, 5, "NIST SP 811 B.8: ounce [U.S. fluid] 2.957 353 E+01 mL"},
		{in(t, "1 US gal", unit.Litre), 3.785412, 6, "NIST SP 811 B.8: gallon [U.S.] 3.785 412 E+00 L"},
		{in(t, "1 mi", unit.Kilometre), 1.609344, 6, "NIST SP 811 B.8: mile 1.609 344 E+00 km, exact"},
		{in(t, "1 mil", unit.Micrometre), 25.4, 10, "NIST SP 811 B.8: mil 2.54 E-05 m, exact"},
		{in(t, "1 in", unit.Millimetre), 25.4, 10, "NIST SP 811 B.8: inch 2.54 E+01 mm, exact"},
		{in(t, "1 lb", unit.Kilogram), 0.4535924, 7, "NIST SP 811 B.8: pound (avoirdupois) 4.535 924 E-01 kg"},
		{in(t, "1 bar", unit.Kilopascal), 100, 10, "NIST SP 811 B.8: bar 1.0 E+02 kPa, exact"},

		{in(t, "80 lbf·ft", unit.NewtonMetre), 108.4654, 4, "80 × 1.3558179483314"},
		{in(t, "129 lbf·ft", unit.NewtonMetre), 174.9005, 4, "129 × 1.3558179483314"},
		{in(t, "100 lbf·in", unit.NewtonMetre), 11.2985, 4, "100 × 0.1129848290276"},
		{in(t, "12 lbf·in", unit.PoundForceFoot), 1, 12, "twelve inches are a foot"},
		{in(t, "60 µm", unit.Mil), 2.362, 3, "60 / 25.4"},
		{in(t, "80 µm", unit.Mil), 3.150, 3, "80 / 25.4"},
		{in(t, "100 µm", unit.Mil), 3.937, 3, "100 / 25.4"},
		{in(t, "2.5 mil", unit.Micrometre), 63.5, 10, "2.5 × 25.4"},
		{in(t, "90 s", unit.Minute), 1.5, 10, "60 s are 1 min"},
		{in(t, "1.5 h", unit.Minute), 90, 10, "60 min are 1 h"},
		{in(t, "0.7 MPa", unit.Bar), 7, 10, "1 MPa is 10 bar"},
		{in(t, "250 g", unit.Kilogram), 0.25, 10, "SI prefix"},
		{in(t, "67.5 V", unit.Kilovolt), 0.0675, 10, "SI prefix"},
		{in(t, "12600 mV", unit.Volt), 12.6, 10, "SI prefix"},
		{in(t, "50 mA", unit.Ampere), 0.05, 10, "SI prefix"},
		{in(t, "50 mA", unit.Microampere), 50000, 6, "SI prefix"},
		{in(t, "0.5 Mohm", unit.Kilohm), 500, 10, "SI prefix"},
		{in(t, "450 cm2", unit.SquareMetre), 0.045, 10, "10 000 cm² are 1 m²"},
		{in(t, "55 %", unit.Percent), 55, 10, "one unit only"},

		{in(t, "10 °F", unit.Kelvin), 5.56, 2, "NIST SP 811 B.8: degree Fahrenheit (interval) 5.555 556 E-01 K"},
		{in(t, "-10 °F", unit.Kelvin), -5.56, 2, "the same"},
		{in(t, "10 K", unit.CelsiusDegree), 10, 10, "the kelvin and the degree Celsius are the same size"},
	}
	for _, test := range tests {
		if got, want := round(test.got, test.digits), round(test.want, test.digits); got != want {
			t.Errorf("%s: got %s, want %s", test.source, got, want)
		}
	}
}

// The Celsius figures are what the minimum boiling points of brake fluids (49 CFR
// 571.116) and common powder schedules come to by (F − 32) / 1.8, NIST SP 811 B.8.
func TestFahrenheit(t *testing.T) {
	tests := []struct {
		fahrenheit string
		celsius    float64
	}{
		{"248 °F", 120}, {"284 °F", 140}, {"311 °F", 155}, {"325 °F", 162.778}, {"347 °F", 175},
		{"350 °F", 176.667}, {"356 °F", 180}, {"375 °F", 190.556}, {"392 °F", 200},
		{"400 °F", 204.444}, {"401 °F", 205}, {"446 °F", 230}, {"450 °F", 232.222}, {"500 °F", 260},
		{"-459.67 °F", -273.15}, {"−40 °F", -40}, {"32 °F", 0},
	}
	for _, test := range tests {
		if got := in(t, test.fahrenheit, unit.Celsius); round(got, 3) != round(test.celsius, 3) {
			t.Errorf("%s is %v °C, want %v", test.fahrenheit, got, test.celsius)
		}
	}
}

func round(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }

func TestTextIsKeptAsTyped(t *testing.T) {
	for typed, want := range map[string]string{
		"80 lbf.ft":           "80 lbf.ft",
		"080.50   ft-lb":      "080.50   ft-lb",
		" 27Nm\n":             "27Nm",
		"27\u00a0N⋅m":         "27\u00a0N⋅m",
		"0.0 N.m":             "0.0 N.m",
		"+12.3456789012 N m ": "+12.3456789012 N m",
	} {
		q, err := unit.Parse[unit.Torque](typed)
		if err != nil {
			t.Error(err)
			continue
		}
		if q.String() != want || q.IsZero() {
			t.Errorf("Parse(%q) = %q, zero %v; want %q", typed, q, q.IsZero(), want)
		}
	}
}

func TestJSON(t *testing.T) {
	type payload struct {
		Set   unit.Torque      `json:"set"`
		Metal unit.Temperature `json:"metal,omitzero"`
		Film  unit.Length      `json:"film"`
	}
	const stored = `{"set":"80 lbf.ft","film":""}`
	var p payload
	if err := json.Unmarshal([]byte(stored), &p); err != nil {
		t.Fatal(err)
	}
	if p.Set.Value() != 80 || p.Set.Unit() != unit.PoundForceFoot || !p.Metal.IsZero() || !p.Film.IsZero() {
		t.Errorf("read %+v", p)
	}
	if again, err := json.Marshal(p); err != nil || string(again) != stored {
		t.Errorf("wrote %s, %v; want %s", again, err, stored)
	}
	before := p
	if err := json.Unmarshal([]byte(`{"set":"80 °C"}`), &p); err == nil || p != before {
		t.Errorf("a wrong value gave %v and left %+v", err, p)
	}
	if err := json.Unmarshal([]byte(`{"set":80}`), &p); err == nil {
		t.Error("a bare JSON number was taken")
	}
}

func TestNothingEntered(t *testing.T) {
	var q unit.Pressure
	if !q.IsZero() || q.String() != "" || q.Unit().String() != "" {
		t.Errorf("zero value is %q in %q", q, q.Unit())
	}
	if !math.IsNaN(q.Value()) || !math.IsNaN(q.In(unit.Bar)) {
		t.Errorf("nothing entered reads as %v and %v bar", q.Value(), q.In(unit.Bar))
	}
}

func TestFormat(t *testing.T) {
	for got, want := range map[string]string{
		unit.Format(108.465435, unit.NewtonMetre, 1):   "108.5 N·m",
		unit.Format(162.7777, unit.Celsius, 0):         "163 °C",
		unit.Format(-0.04, unit.Kelvin, 1):             "0.0 K",
		unit.Format(-0.06, unit.Kelvin, 1):             "-0.1 K",
		unit.Format(3.14961, unit.Mil, 2):              "3.15 mil",
		unit.Format(29.5735295625, unit.Millilitre, 3): "29.574 mL",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// Units of different dimensions are different types, so a torque cannot be asked for
// degrees, nor a temperature for the units of a difference.
func TestUnitsHaveTheTypeOfTheirDimension(t *testing.T) {
	seen := map[reflect.Type]bool{}
	for _, u := range []any{
		unit.NewtonMetre, unit.Celsius, unit.Kelvin, unit.Minute, unit.Micrometre, unit.Kilometre, unit.Millilitre,
		unit.Kilopascal, unit.Kilogram, unit.Volt, unit.Ampere, unit.Ohm, unit.Percent, unit.SquareMetre,
	} {
		if kind := reflect.TypeOf(u); seen[kind] {
			t.Errorf("%v shares its type %v with another dimension", u, kind)
		} else {
			seen[kind] = true
		}
	}
	if reflect.TypeOf(unit.CelsiusDegree) == reflect.TypeOf(unit.Celsius) {
		t.Error("degrees of a difference and degrees of a scale can be mixed up")
	}
}

func TestThereAndBack(t *testing.T) {
	t.Run("torque", back(unit.NewtonMetre, unit.PoundForceFoot, unit.PoundForceInch, unit.DecanewtonMetre, unit.KilogramForceMetre))
	t.Run("temperature", back(unit.Celsius, unit.Fahrenheit))
	t.Run("temperature difference", back(unit.Kelvin, unit.CelsiusDegree, unit.FahrenheitDegree))
	t.Run("duration", back(unit.Minute, unit.Second, unit.Hour))
	t.Run("length", back(unit.Micrometre, unit.Mil, unit.Millimetre, unit.Inch))
	t.Run("distance", back(unit.Kilometre, unit.Mile))
	t.Run("volume", back(unit.Millilitre, unit.Litre, unit.USFluidOunce, unit.USGallon))
	t.Run("pressure", back(unit.Kilopascal, unit.PSI, unit.Bar, unit.Megapascal))
	t.Run("mass", back(unit.Kilogram, unit.Gram, unit.Pound))
	t.Run("voltage", back(unit.Volt, unit.Millivolt, unit.Kilovolt))
	t.Run("current", back(unit.Ampere, unit.Milliampere, unit.Microampere))
	t.Run("resistance", back(unit.Ohm, unit.Kilohm, unit.Megohm))
	t.Run("ratio", back(unit.Percent))
	t.Run("area", back(unit.SquareMetre, unit.SquareCentimetre))
}

// back says that a typed figure, converted to any other unit and back, prints as the
// same figure to its last digit.
func back[D unit.Dimension](units ...unit.Unit[D]) func(*testing.T) {
	return rapid.MakeCheck(func(t *rapid.T) {
		from, to := rapid.SampledFrom(units).Draw(t, "from"), rapid.SampledFrom(units).Draw(t, "to")
		digits := rapid.IntRange(0, 4).Draw(t, "digits")
		typed := unit.Format(rapid.Float64Range(0, 1e5).Draw(t, "value"), from, digits)

		q, err := unit.Parse[unit.Of[D]](typed)
		if err != nil {
			t.Fatal(err)
		}
		there, err := unit.Parse[unit.Of[D]](strconv.FormatFloat(q.In(to), 'f', -1, 64) + to.String())
		if err != nil {
			t.Fatal(err)
		}
		if again := unit.Format(there.In(from), from, digits); again != typed {
			t.Fatalf("%s is %s, which is %s", typed, there, again)
		}
	})
}
