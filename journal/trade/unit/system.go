package unit

import (
	"math"
	"strings"

	"fettlebook/journal/words"
)

// System is the units that a shop works in, a quantity each: what is worked out is said in
// them. A quantity without one is said in the unit that was typed, which is right where
// nobody chose, as on a command line. The zero System chooses nothing.
type System struct {
	Torque      TorqueUnit                `json:"torque"`
	SmallTorque TorqueUnit                `json:"small_torque"` // of joints below SmallBelow
	Temperature TemperatureUnit           `json:"temperature"`
	Difference  TemperatureDifferenceUnit `json:"difference"` // between two temperatures
	Pressure    PressureUnit              `json:"pressure"`
	Film        LengthUnit                `json:"film"`
	Length      LengthUnit                `json:"length"` // of pads, gaps and levers
	Volume      VolumeUnit                `json:"volume"`
	Distance    DistanceUnit              `json:"distance"`
	Mass        MassUnit                  `json:"mass"`

	// Writing is how what is worked out is written. It is chosen by itself and is no part
	// of what two systems are compared by: see Written.
	Writing words.Writing `json:"-"`
}

// Written returns the system with the way in which its figures are written.
func (s System) Written(w words.Writing) System {
	s.Writing = w
	return s
}

// SmallBelow is the torque in N·m from which on a joint is not small.
const SmallBelow = 20.0

// Metric is what a shop works in that chose nothing else.
func Metric() System {
	return System{
		Torque: NewtonMetre, SmallTorque: NewtonMetre, Temperature: Celsius, Difference: Kelvin, Pressure: Bar,
		Film: Micrometre, Length: Millimetre, Volume: Millilitre, Distance: Kilometre, Mass: Kilogram,
	}
}

// USCustomary is what shops in the United States work in.
func USCustomary() System {
	return System{
		Torque: PoundForceFoot, SmallTorque: PoundForceInch, Temperature: Fahrenheit, Difference: FahrenheitDegree, Pressure: PSI,
		Film: Mil, Length: Inch, Volume: USFluidOunce, Distance: Mile, Mass: Pound,
	}
}

// The names of the systems that a shop may begin with.
const (
	MetricName      = "metric"
	USCustomaryName = "US customary"
)

// Named returns the system of a name, whose case does not matter; "us" is enough.
func Named(name string) (s System, ok bool) {
	switch name = strings.TrimSpace(name); {
	case strings.EqualFold(name, MetricName):
		return Metric(), true
	case strings.EqualFold(name, USCustomaryName), strings.EqualFold(name, "US"):
		return USCustomary(), true
	}
	return System{}, false
}

// Name is what a system is called, or "" of one that a shop made up of both.
func (s System) Name() string {
	switch s.Written(words.Writing{}) {
	case Metric():
		return MetricName
	case USCustomary():
		return USCustomaryName
	}
	return ""
}

// TorqueFor is the unit for a joint whose figures go up to so many N·m.
func (s System) TorqueFor(newtonMetres float64) TorqueUnit {
	if newtonMetres < SmallBelow {
		return s.SmallTorque
	}
	return s.Torque
}

// SpelledTorque writes figures of a joint as [Spelled] does, all with the unit beside them
// that the largest has.
func (s System) SpelledTorque(all ...Torque) func(Torque) string {
	most := 0.0
	for _, q := range all {
		if !q.IsZero() {
			most = max(most, q.In(NewtonMetre))
		}
	}
	return func(q Torque) string { return Spelled(q, s.TorqueFor(most), 1) }
}

// Show writes a figure that was worked out in one unit, in another: converted and rounded
// once, to what so many digits behind the point of the first are worth. Without another
// unit it stays in the first: Show(60, Micrometre, Mil, 1) is "2.36 mil".
func Show[D Dimension](value float64, from, in Unit[D], digits int) string {
	if in == 0 {
		in = from
	}
	return Format(Convert(value, from, in), in, digitsIn(from, in, digits))
}

// Short does what Show does, and leaves out zeros behind the point: Short(180, Celsius,
// Fahrenheit, 1) is "356 °F".
func Short[D Dimension](value float64, from, in Unit[D], digits int) string {
	number, spelling := Split(Show(value, from, in, digits))
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return number + " " + spelling
}

// digitsIn is how many digits a figure has in a unit, if it has so many in another: a unit
// that is about ten times larger has one more.
func digitsIn[D Dimension](from, in Unit[D], digits int) int {
	a, b := from.scale(), in.scale()
	larger := math.Round(math.Log10(b.times / b.over / (a.times / a.over)))
	return max(0, digits+int(larger))
}

// Like is the unit in which figures beside a quantity are shown: the one that was chosen,
// else the quantity's own.
func Like[D Dimension](q Of[D], chosen Unit[D]) Unit[D] {
	if chosen != 0 {
		return chosen
	}
	return q.Unit()
}

// Foreign reports whether a quantity was typed in another unit than the one that was
// chosen.
func Foreign[D Dimension](q Of[D], chosen Unit[D]) bool {
	return chosen != 0 && !q.IsZero() && q.Unit() != chosen
}

// Typed writes a quantity as it was typed, with the chosen unit beside it where that is
// another: "27 N·m (19.9 lb·ft)". Digits are those of the first unit of its dimension.
func Typed[D Dimension](q Of[D], chosen Unit[D], digits int) string {
	if !Foreign(q, chosen) {
		return q.text
	}
	return q.text + " (" + q.short(chosen, digits) + ")"
}

// Spelled does what Typed does, with the usual spelling of the unit that was typed: "27 N·m"
// of "27 N.m".
func Spelled[D Dimension](q Of[D], chosen Unit[D], digits int) string {
	if q.IsZero() {
		return ""
	}
	number, _ := Split(q.text)
	q.text = number + " " + q.unit.String()
	return Typed(q, chosen, digits)
}

// Printed writes a limit in the chosen unit, with what is printed beside it where that is
// another: "356 °F (printed 180 °C)". Digits are those of the first unit of its dimension.
func Printed[D Dimension](q Of[D], chosen Unit[D], digits int) string {
	if !Foreign(q, chosen) {
		return q.text
	}
	return q.short(chosen, digits) + " (printed " + q.text + ")"
}

func (q Of[D]) short(u Unit[D], digits int) string {
	const first = 1
	return Short(Convert(q.value, q.unit, first), first, u, digits)
}

// Shown writes a quantity in the unit that was chosen, whatever it measures; as it is
// where none was, or that one. It reports false of what is not a quantity that a shop
// chooses a unit for.
func (s System) Shown(text string) (shown string, ok bool) {
	if q, err := parse[torque](text); err == nil {
		return shownIn(q, s.TorqueFor(q.In(NewtonMetre)), 1), true
	}
	if q, err := parse[length](text); err == nil {
		if q.unit == Micrometre || q.unit == Mil {
			return shownIn(q, s.Film, 1), true
		}
		return shownIn(q, s.Length, -2), true
	}
	for _, show := range []func(string) (string, bool){
		reader(s.Temperature, 1), reader(s.Difference, 1), reader(s.Pressure, -1), reader(s.Volume, 0), reader(s.Distance, 1), reader(s.Mass, 1),
	} {
		if shown, ok := show(text); ok {
			return shown, true
		}
	}
	return text, false
}

func reader[D Dimension](u Unit[D], digits int) func(string) (string, bool) {
	return func(text string) (string, bool) {
		q, err := parse[D](text)
		return shownIn(q, u, digits), err == nil
	}
}

func shownIn[D Dimension](q Of[D], u Unit[D], digits int) string {
	if !Foreign(q, u) {
		return q.text
	}
	return q.short(u, digits)
}
