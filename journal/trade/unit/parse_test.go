package unit_test

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"testing"

	"fettlebook/journal/trade/unit"
)

func torque(text string) error      { _, err := unit.Parse[unit.Torque](text); return err }
func temperature(text string) error { _, err := unit.Parse[unit.Temperature](text); return err }
func duration(text string) error    { _, err := unit.Parse[unit.Duration](text); return err }
func length(text string) error      { _, err := unit.Parse[unit.Length](text); return err }
func distance(text string) error    { _, err := unit.Parse[unit.Distance](text); return err }
func volume(text string) error      { _, err := unit.Parse[unit.Volume](text); return err }
func pressure(text string) error    { _, err := unit.Parse[unit.Pressure](text); return err }
func ratio(text string) error       { _, err := unit.Parse[unit.Ratio](text); return err }

func TestRefusals(t *testing.T) {
	tests := []struct {
		parse   func(string) error
		text    string
		problem string
	}{
		{torque, "", "nothing was entered: write for example 27 N·m"},
		{torque, " \t", "nothing was entered: write for example 27 N·m"},
		{torque, "27", "the unit is missing: write for example 27 N·m"},
		{torque, "N.m", "the number is missing: write for example 27 N·m"},
		{torque, "NaN N.m", "the number is missing: write for example 27 N·m"},
		{torque, "Inf N.m", "the number is missing: write for example 27 N·m"},
		{torque, "27,5 N.m", "write 27.5, not 27,5"},
		{torque, "27,5", "write 27.5, not 27,5"},
		{distance, "84,210 km", "84,210 can be read in two ways: write 84210 or 84.210, without a comma"},
		{distance, "1.084,2 km", "write 1084.2, not 1.084,2"},
		{distance, "1.084.210,5 km", "write 1084210.5, not 1.084.210,5"},
		{distance, "1,84,210 km", "1,84,210 holds a comma: write the number with digits and at most one decimal point"},
		{distance, "0,084,210 km", "0,084,210 holds a comma: write the number with digits and at most one decimal point"},
		{distance, "1,084,210,5 km", "1,084,210,5 holds a comma: write the number with digits and at most one decimal point"},
		{distance, "1.084.21 km", "1.084.21 has more than one decimal point: write one or none"},
		{torque, "1,105,110 N·m", "1,105,110 holds a comma: write the number with digits and at most one decimal point"},
		{torque, "1.105.110 N·m", "1.105.110 has more than one decimal point: write one or none"},
		{distance, "84 21 km", "the number is broken by a space: write it in one piece"},
		{torque, "2e1 N.m", "an exponent is not accepted: write the number in full"},
		{torque, "2E+1 N.m", "an exponent is not accepted: write the number in full"},
		{length, ".5 mil", ".5 needs a digit on both sides of the decimal point: write for example 0.5"},
		{length, "5. mil", "5. needs a digit on both sides of the decimal point: write for example 0.5"},
		{length, "1.2.3 mil", "1.2.3 has more than one decimal point: write one or none"},
		{temperature, "--5 °C", "--5 has more than one sign: write one or none"},
		{torque, "0x1F N.m", `“x1F N.m” is not a unit known here: write a torque with one of N·m, lb·ft, lb·in, daN·m, kgf·m`},
		{torque, "27 °C", "°C is a temperature; this field needs a torque, for example 27 N·m"},
		{torque, "27 lb", "lb is a mass; this field needs a torque, for example 27 N·m"},
		{temperature, "10 K", "K is a temperature difference; this field needs a temperature, for example 200 °C"},
		{length, "3 km", "km is a distance; this field needs a length, for example 80 µm"},
		{torque, "27 foo", `“foo” is not a unit known here: write a torque with one of N·m, lb·ft, lb·in, daN·m, kgf·m`},
		{torque, "27 nm", "nm is not a unit known here: capitals matter here, write Nm"},
		{pressure, "4 mpa", "mpa is not a unit known here: capitals matter here, write MPa"},
		{volume, "12 fl oz", "fl oz is 29.57 mL in the US and 28.41 mL in the UK: write US fl oz, or the volume in mL"},
		{volume, "1 gal", "gal is 3.785 L in the US and 4.546 L in the UK: write US gal, or the volume in L"},
		{temperature, "200°", "° alone may be °C or °F: write which"},
		{duration, "20 m", "m is the metre: write min for minutes"},
		{temperature, "-273.16 °C", "this is below absolute zero, -273.15 °C: check the number and the sign"},
		{temperature, "−459.68 °F", "this is below absolute zero, -459.67 °F: check the number and the sign"},
		{duration, "-1 min", "a duration cannot be negative: leave out the minus sign"},
		{volume, "-1 mL", "a volume cannot be negative: leave out the minus sign"},
		{length, "−0.1 mil", "a length cannot be negative: leave out the minus sign"},
		{torque, "-27 N.m", "a torque cannot be negative: leave out the minus sign"},
		{ratio, "-5 %", "a percentage cannot be negative: leave out the minus sign"},
		{torque, strings.Repeat("9", 37) + " N.m", "this is longer than 40 characters: write only a number and its unit, for example 27 N·m"},
	}
	for _, test := range tests {
		err := test.parse(test.text)
		var refused *unit.Error
		if !errors.As(err, &refused) {
			t.Errorf("%q: got %v, want a refusal", test.text, err)
			continue
		}
		if refused.Problem != test.problem {
			t.Errorf("%q:\n got %s\nwant %s", test.text, refused.Problem, test.problem)
		}
		_, spelling := unit.Split(test.text)
		if begins := spelling != "" && strings.HasPrefix(strings.TrimPrefix(test.problem, "“"), spelling); refused.Spelled != begins {
			t.Errorf("%q: the sentence is said to begin with the unit: %t", test.text, refused.Spelled)
		}
	}
}

func TestErrorNamesTextAndWant(t *testing.T) {
	err := torque(" 27 °C ")
	var refused *unit.Error
	if !errors.As(err, &refused) || refused.Text != "27 °C" || refused.Want != "a torque" {
		t.Errorf("got %#v", err)
	}
	if want := "“27 °C”: " + refused.Problem; err.Error() != want {
		t.Errorf("got %s, want %s", err, want)
	}
	if long := torque(strings.Repeat("µ", 4000)).Error(); len(long) > 250 {
		t.Errorf("the error repeats %d bytes of what was typed", len(long))
	}
	var field struct{ Set unit.Torque }
	if err := json.Unmarshal([]byte(`{"Set":"27"}`), &field); !errors.As(err, &refused) {
		t.Errorf("reading JSON gave %v, want the refusal inside it", err)
	}
}

func TestSignedDimensions(t *testing.T) {
	for text, parse := range map[string]func(string) error{
		"-80 kPa":    pressure, // a vacuum bleeder
		"-273.15 °C": temperature,
		"-459.67 °F": temperature,
		"-10 K":      func(s string) error { _, err := unit.Parse[unit.TemperatureDifference](s); return err },
		"-0.5 V":     func(s string) error { _, err := unit.Parse[unit.Voltage](s); return err },
		"-3 mA":      func(s string) error { _, err := unit.Parse[unit.Current](s); return err },
	} {
		if err := parse(text); err != nil {
			t.Error(err)
		}
	}
}

// The hint of every type must be true: the example and every listed spelling parse, and
// each spelling gives the unit whose usual spelling stands first.
func TestHints(t *testing.T) {
	t.Run("torque", hints[unit.Torque])
	t.Run("temperature", hints[unit.Temperature])
	t.Run("temperature difference", hints[unit.TemperatureDifference])
	t.Run("duration", hints[unit.Duration])
	t.Run("length", hints[unit.Length])
	t.Run("distance", hints[unit.Distance])
	t.Run("volume", hints[unit.Volume])
	t.Run("pressure", hints[unit.Pressure])
	t.Run("mass", hints[unit.Mass])
	t.Run("voltage", hints[unit.Voltage])
	t.Run("current", hints[unit.Current])
	t.Run("resistance", hints[unit.Resistance])
	t.Run("ratio", hints[unit.Ratio])
	t.Run("area", hints[unit.Area])
}

func hints[Q interface{ unit.Of[D] }, D unit.Dimension](t *testing.T) {
	example, units, _ := unit.Of[D]{}.JSONSchemaHint()
	if _, err := unit.Parse[Q](example); err != nil {
		t.Error(err)
	}
	seen := map[string]bool{}
	for _, spelling := range units {
		if seen[spelling] {
			t.Errorf("%s is listed twice", spelling)
		}
		seen[spelling] = true
		for _, text := range []string{"1 " + spelling, "1" + spelling} {
			q, err := unit.Parse[unit.Of[D]](text)
			if err != nil {
				t.Error(err)
				continue
			}
			if usual := q.Unit().String(); !seen[usual] {
				t.Errorf("%s is a spelling of %s but is listed before it", spelling, usual)
			}
		}
	}
	if len(units) == 0 {
		t.Error("no unit is listed")
	}
}

func TestSpellings(t *testing.T) {
	for _, test := range []struct{ same []string }{
		{[]string{"N.m", "N·m", "Nm"}},
		{[]string{"lbf.ft", "lbf·ft", "ft.lbf", "ft·lbf", "ft-lb", "lb-ft", "ft-lbs", "ft·lbs", "ft.lbs", "ft lbs", "lb·ft", "lbs-ft", "lb ft"}},
		{[]string{"lbf.in", "lbf·in", "in.lbf", "in·lbf", "in-lb", "in-lbs", "in·lbs", "lb·in", "lb-in"}},
		{[]string{"daN·m", "daN.m", "daNm", "daN m"}},
		{[]string{"kgf·m", "kgf.m", "kgf-m", "m·kgf", "kg·m", "m-kg", "kg m"}},
	} {
		for _, spelling := range test.same {
			q, err := unit.Parse[unit.Torque]("1 " + spelling)
			if err != nil {
				t.Error(err)
			} else if first, _ := unit.Parse[unit.Torque]("1 " + test.same[0]); q.Unit() != first.Unit() {
				t.Errorf("%s is read as %v", spelling, q.Unit())
			}
		}
	}
}

// One unit has one spelling in whatever is worked out.
func TestUsualSpellings(t *testing.T) {
	for typed, want := range map[string]string{
		"1 ft-lbs": "lb·ft", "1 in-lbs": "lb·in", "1 Nm": "N·m", "1 daN.m": "daN·m", "1 m-kg": "kgf·m",
	} {
		if q, err := unit.Parse[unit.Torque](typed); err != nil || q.Unit().String() != want || q.String() != typed {
			t.Errorf("%s is %s in %s, %v; want %s", typed, q, q.Unit(), err, want)
		}
	}
	for typed, want := range map[string]string{"3 mils": "mil", "3 mil": "mil", "80 microns": "µm", "80 micron": "µm", "80 um": "µm"} {
		if q, err := unit.Parse[unit.Length](typed); err != nil || q.Unit().String() != want {
			t.Errorf("%s is in %s, %v; want %s", typed, q.Unit(), err, want)
		}
	}
	if q, err := unit.Parse[unit.Distance]("39 000 miles"); err != nil || q.Unit() != unit.Mile || q.Value() != 39000 {
		t.Errorf("39 000 miles are %v %s, %v", q.Value(), q.Unit(), err)
	}
}

// What stands between thousands is taken where figures run into thousands and it can be
// nothing else: any space, and a comma or a point that stands there twice or, of the comma,
// before a decimal point. Where two readings are as likely it is refused.
func TestThousands(t *testing.T) {
	for typed, want := range map[string]float64{
		"63 120 km": 63120, "63\u202f120 km": 63120, "63\u00a0120\u202fkm": 63120, "63\u2009120km": 63120, "1 263 120.5 km": 1263120.5, "120 km": 120, "999 999 mi": 999999,
		"1,084,210 km": 1084210, "84,210.5 km": 84210.5, "1,084,210.25 km": 1084210.25, "1.084.210 km": 1084210, "63.120 km": 63.12, "+63 120 km": 63120,
	} {
		if q, err := unit.Parse[unit.Distance](typed); err != nil || q.Value() != want || q.String() != typed {
			t.Errorf("%q is %v and kept as %q, %v; want %v", typed, q.Value(), q, err, want)
		}
	}
	for typed, want := range map[string]string{
		"63 12 km": "broken by a space", "63 1200 km": "broken by a space", "6312 000 km": "broken by a space", "063 120 km": "broken by a space",
		"63  120 km": "broken by a space", "63 120 12 km": "broken by a space", "63 120,5 km": "write 63120.5, not 63 120,5",
		"63 120,500 km": "write 63120500 or 63120.500, without a comma",
	} {
		if err := distance(typed); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", typed, err, want)
		}
	}
	for typed, parse := range map[string]func(string) error{"105 110 N·m": torque, "180 200 °C": temperature, "100 120 µm": length, "50 100 %": ratio} {
		if err := parse(typed); err == nil || !strings.Contains(err.Error(), "broken by a space") {
			t.Errorf("%q, two readings, is taken for one: %v", typed, err)
		}
	}
	for typed, want := range map[string]float64{"12 500": 12500, "-1 000.5": -1000.5, "7": 7, "-1,000,000": -1e6} {
		if v, err := unit.Grouped(typed); err != nil || v != want {
			t.Errorf("%q is %v, %v", typed, v, err)
		}
	}
}

func TestWhole(t *testing.T) {
	for typed, want := range map[string]int{"8": 8, " 12 ": 12, "1 200": 1200, "1\u202f200": 1200, "1,200,000": 1200000, "1.200.000": 1200000, "−3": -3, "0": 0} {
		if n, ok := unit.Whole(typed); !ok || n != want {
			t.Errorf("%q is %d, %v; want %d", typed, n, ok, want)
		}
	}
	for _, typed := range []string{"", "2.5", "1,200", "1.200", "1 20", "0 200", "1  200", "1 200.0", "eight", "8 plugs", "1e3", "99 999 999 999 999 999 999"} {
		if n, ok := unit.Whole(typed); ok {
			t.Errorf("%q is taken for %d", typed, n)
		}
	}
}

func TestDoubtful(t *testing.T) {
	for typed, want := range map[string]string{
		"63.120 km": "63.120 can be read in two ways: write 63120 or 63.12",
		"63.000":    "63.000 can be read in two ways: write 63000 or 63",
		"63.100":    "63.100 can be read in two ways: write 63100 or 63.1",
		"63.12 km":  "", "63 120 km": "", "63120 km": "", "0.500 km": "", "1263.120 km": "", "1.263.120 km": "", "km": "", "": "",
	} {
		if got := unit.Doubtful(typed); got != want {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
}

// FuzzWhole: a count that is taken is its digits, and nothing else.
func FuzzWhole(f *testing.F) {
	for _, typed := range []string{"1 200", "1,200,000", "1.200.000", "-3", "1,200", ""} {
		f.Add(typed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		n, ok := unit.Whole(typed)
		if !ok {
			return
		}
		digits := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return r
			}
			return -1
		}, typed)
		if want, err := strconv.Atoi(digits); err != nil || want != max(n, -n) {
			t.Fatalf("%q is taken for %d", typed, n)
		}
	})
}

func TestAlike(t *testing.T) {
	for _, pair := range [][2]string{{"lbf.ft", "lb·ft"}, {"N.m", "N·m"}, {"Mohm", "MΩ"}, {"µm", "um"}} {
		if !unit.Alike(pair[0], pair[1]) {
			t.Errorf("%q are two units", pair)
		}
	}
	for _, pair := range [][2]string{{"lbf.ft", "lb·in"}, {"lb", "lb·ft"}, {"furlong", "furlong"}, {"", ""}} {
		if unit.Alike(pair[0], pair[1]) {
			t.Errorf("%q are one unit", pair)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Fuzz(func(t *testing.T, text string) {
		check[unit.Torque](t, text)
		check[unit.Temperature](t, text)
		check[unit.Volume](t, text)
		check[unit.Distance](t, text)
	})
}

// check says that a text is either refused with a sentence or kept as typed, and that
// what was kept is read again as the same quantity with a finite value.
func check[Q interface{ unit.Of[D] }, D unit.Dimension](t *testing.T, text string) {
	parsed, err := unit.Parse[Q](text)
	q := unit.Of[D](parsed)
	var refused *unit.Error
	switch {
	case err != nil && (!errors.As(err, &refused) || refused.Problem == "" || !q.IsZero()):
		t.Fatalf("%q: got %q and %v", text, q, err)
	case err != nil:
		return
	case q.String() != strings.TrimSpace(text):
		t.Fatalf("%q became %q", text, q)
	case q.Value()-q.Value() != 0:
		t.Fatalf("%q has the value %v", text, q.Value())
	}
	kept, _ := q.MarshalText()
	var again unit.Of[D]
	if err := again.UnmarshalText(kept); err != nil || again != q {
		t.Fatalf("%q was read again as %q: %v", q, again, err)
	}
}
