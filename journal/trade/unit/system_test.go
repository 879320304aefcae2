package unit_test

import (
	"testing"

	"fettlebook/journal/trade/unit"
)

// What is worked out is rounded once, to what it was worth in the unit that it was worked
// out in.
func TestShow(t *testing.T) {
	for got, want := range map[string]string{
		unit.Show(60, unit.Micrometre, unit.Mil, 1):                                                 "2.36 mil",
		unit.Show(60, unit.Micrometre, unit.Millimetre, 1):                                          "0.0600 mm",
		unit.Show(60, unit.Micrometre, unit.Inch, 1):                                                "0.00236 in",
		unit.Show(24, unit.NewtonMetre, unit.PoundForceFoot, 1):                                     "17.7 lb·ft",
		unit.Show(18, unit.NewtonMetre, unit.PoundForceInch, 1):                                     "159 lb·in",
		unit.Show(108.4654, unit.NewtonMetre, 0, 1):                                                 "108.5 N·m",
		unit.Show(80, unit.Celsius, unit.Fahrenheit, 1):                                             "176.0 °F",
		unit.Show(1.0/3, unit.Kelvin, unit.FahrenheitDegree, 1):                                     "0.6 °F",
		unit.Show(-0.01, unit.Kelvin, unit.FahrenheitDegree, 1):                                     "0.0 °F",
		unit.Show(354.9, unit.Millilitre, unit.USFluidOunce, 0):                                     "12.0 US fl oz",
		unit.Short(180, unit.Celsius, unit.Fahrenheit, 1):                                           "356 °F",
		unit.Short(unit.Convert(350, unit.Fahrenheit, unit.Celsius), unit.Celsius, unit.Celsius, 1): "176.7 °C",
		unit.Short(100, unit.Kilometre, unit.Mile, 1):                                               "62.1 mi",
	} {
		if got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// A quantity that was typed or printed in another unit keeps its own beside the shop's.
func TestBeside(t *testing.T) {
	typed := func(text string) unit.Torque {
		q, err := unit.Parse[unit.Torque](text)
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	us := unit.USCustomary()
	for _, c := range []struct{ got, want string }{
		{unit.Typed(typed("27 N.m"), us.TorqueFor(27), 1), "27 N.m (19.9 lb·ft)"},
		{unit.Spelled(typed("27 N.m"), us.TorqueFor(27), 1), "27 N·m (19.9 lb·ft)"},
		{unit.Spelled(typed("20 lbf.ft"), us.TorqueFor(27), 1), "20 lb·ft"},
		{unit.Spelled(unit.Torque{}, us.TorqueFor(27), 1), ""},
		{us.SpelledTorque(typed("24 N.m"))(typed("16 N.m")), "16 N·m (11.8 lb·ft)"},
		{unit.Typed(typed("18 N.m"), us.TorqueFor(18), 1), "18 N.m (159 lb·in)"},
		{unit.Typed(typed("20 lbf.ft"), us.TorqueFor(27), 1), "20 lbf.ft"},
		{unit.Typed(typed("20 lbf.ft"), 0, 1), "20 lbf.ft"},
		{unit.Printed(typed("24 N·m"), us.Torque, 1), "17.7 lb·ft (printed 24 N·m)"},
		{unit.Printed(typed("212 lb·in"), unit.Metric().TorqueFor(24), 1), "24 N·m (printed 212 lb·in)"},
		{unit.Printed(unit.Torque{}, us.Torque, 1), ""},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
}

// Whatever a card says of a quantity is said in the units of the shop, a difference of
// temperatures as one.
func TestShown(t *testing.T) {
	us, metric := unit.USCustomary(), unit.Metric()
	for _, c := range []struct{ metric, us string }{
		{"150 °C", "302 °F"}, {"3 K", "5.4 °F"}, {"100 bar", "1450 psi"}, {"1 km", "0.6 mi"}, {"19 N·m", "168 lb·in"}, {"100 N·m", "73.8 lb·ft"},
		{"60 µm", "2.36 mil"}, {"2 mm", "0.08 in"}, {"350 mL", "11.8 US fl oz"}, {"1 kg", "2.2 lb"},
	} {
		if got, ok := us.Shown(c.metric); got != c.us || !ok {
			t.Errorf("%s: %s, %v, want %s", c.metric, got, ok, c.us)
		}
		for _, system := range []unit.System{metric, {}} {
			if got, ok := system.Shown(c.metric); got != c.metric || !ok {
				t.Errorf("%s: %s, %v in its own unit", c.metric, got, ok)
			}
		}
	}
	for _, text := range []string{"", "240 min", "5", "heat_minutes", "30 s", "14 d"} {
		if got, ok := us.Shown(text); got != text || ok {
			t.Errorf("%q: %q, %v", text, got, ok)
		}
	}
}

// A unit is written as it is usually spelled.
func TestUnitText(t *testing.T) {
	for _, spelled := range unit.TorqueUnit(0).Words() {
		var u unit.TorqueUnit
		if err := u.UnmarshalText([]byte(spelled)); err != nil || u.String() != spelled {
			t.Errorf("%s: %s, %v", spelled, u, err)
		}
	}
	for _, wrong := range []string{"N.m", "lbf.ft", "°C", " "} {
		u := unit.PoundForceFoot
		if err := u.UnmarshalText([]byte(wrong)); err == nil || u != unit.PoundForceFoot {
			t.Errorf("%q was taken for %s, %v", wrong, u, err)
		}
	}
}

// A person types the name of a system as they like.
func TestNamed(t *testing.T) {
	for name, want := range map[string]unit.System{
		"metric": unit.Metric(), "Metric": unit.Metric(), " METRIC ": unit.Metric(),
		"US customary": unit.USCustomary(), "us customary": unit.USCustomary(), "us": unit.USCustomary(), "US": unit.USCustomary(),
	} {
		if got, ok := unit.Named(name); !ok || got != want {
			t.Errorf("%q is taken for the system %q", name, got.Name())
		}
	}
	for _, name := range []string{"", "furlongs", "customary", "us metric"} {
		if got, ok := unit.Named(name); ok {
			t.Errorf("%q is taken for the system %q", name, got.Name())
		}
	}
}
