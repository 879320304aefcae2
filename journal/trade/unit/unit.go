// Package unit keeps a quantity exactly as a person typed it, with its unit, and
// converts it only at the moment it is used.
//
// It promises three things. The text that was typed is never rounded, reworded or
// converted: "80 lbf.ft" stays "80 lbf.ft" in every record. A number without a unit
// is never taken. And a quantity cannot be asked for in a unit of another dimension:
// asking a torque for degrees does not compile.
//
// A quantity is written as a number and a unit, with or without a space between:
//
//	27 N.m    80 lb·ft    200 °C    2.5mil    4 US fl oz
//
// The number has a decimal point, never a comma or an exponent. Where figures run into
// thousands, as on an odometer, a space may stand between them: "63 120 km". In JSON a quantity is
// a string of that form, and one that was not entered is left out with omitzero:
//
//	type Applied struct {
//		Set   unit.Torque      `json:"set"`
//		Metal unit.Temperature `json:"metal,omitzero"`
//	}
//
//	set, err := unit.Parse[unit.Torque]("80 lbf.ft")
//	set.String()             // "80 lbf.ft"
//	set.In(unit.NewtonMetre) // 108.4654
//
// All factors follow from the exact definitions printed in NIST Special Publication
// 811 (2008), appendix B.
package unit

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/words"
)

// Of is a quantity of dimension D as a person entered it. Use it under the name of its
// dimension: Torque, Temperature, Length and so on. The zero value means that nothing
// was entered. Quantities compare equal with == when the same text was typed.
type Of[D Dimension] struct {
	text  string // as typed, trimmed; empty when nothing was entered
	value float64
	unit  Unit[D]
}

// The quantities that a journal holds.
type (
	// Torque is in N·m, lb·ft, lb·in, daN·m or kgf·m, and never negative.
	Torque = Of[torque]
	// Temperature is a point on a scale, in °C or °F, not below absolute zero.
	Temperature = Of[temperature]
	// TemperatureDifference is a distance between two temperatures, in K, °C or °F:
	// a tolerance or a rise. Ten degrees Fahrenheit of it are 5.56 K.
	TemperatureDifference = Of[temperatureDifference]
	// Duration is in min, s or h, and never negative.
	Duration = Of[duration]
	// Length is a film, a pad or a gap, in µm, mil, mm or in, and never negative.
	Length = Of[length]
	// Distance is what an odometer shows, in km or mi, and never negative.
	Distance = Of[distance]
	// Volume is in mL, L, US fl oz or US gal, and never negative.
	Volume = Of[volume]
	// Pressure is as a gauge shows it, in kPa, psi, bar or MPa; vacuum is negative.
	Pressure = Of[pressure]
	// Mass is in kg, g or lb, and never negative.
	Mass = Of[mass]
	// Voltage is in V, mV or kV, of either sign.
	Voltage = Of[voltage]
	// Current is in A, mA or µA, of either sign.
	Current = Of[current]
	// Resistance is in Ω, kΩ or MΩ, and never negative.
	Resistance = Of[resistance]
	// Ratio is in percent, such as relative humidity, and never negative.
	Ratio = Of[ratio]
	// Area is in m² or cm², and never negative.
	Area = Of[area]
)

// The units that people choose between, by quantity.
type (
	TorqueUnit                = Unit[torque]
	TemperatureUnit           = Unit[temperature]
	TemperatureDifferenceUnit = Unit[temperatureDifference]
	PressureUnit              = Unit[pressure]
	LengthUnit                = Unit[length]
	VolumeUnit                = Unit[volume]
	DistanceUnit              = Unit[distance]
	MassUnit                  = Unit[mass]
)

// String returns the text exactly as it was typed, without the space around it, or ""
// when nothing was entered.
func (q Of[D]) String() string { return q.text }

// IsZero reports whether nothing was entered. A typed "0 N.m" is something.
func (q Of[D]) IsZero() bool { return q.text == "" }

// Written returns the text with its number as a shop writes it: what was typed, but for
// the decimal sign. The point that the text holds is the journal's, and who typed a comma
// typed the same number.
func (q Of[D]) Written(w words.Writing) string {
	return words.Writing{Decimal: w.Decimal}.Number(q.text)
}

// Respell gives the quantity the text that [Of.Written] returns. It is then for sentences
// only: no journal takes it.
func (q *Of[D]) Respell(w words.Writing) { q.text = q.Written(w) }

// Value returns the number as typed, in the unit as typed. It is NaN when nothing was
// entered, so that a missing figure cannot pass for a measured zero.
func (q Of[D]) Value() float64 {
	if q.IsZero() {
		return math.NaN()
	}
	return q.value
}

// Unit returns the unit as typed. It is the zero Unit when nothing was entered.
func (q Of[D]) Unit() Unit[D] { return q.unit }

// In returns the quantity in unit u. It is NaN when nothing was entered.
func (q Of[D]) In(u Unit[D]) float64 {
	if q.IsZero() {
		return math.NaN()
	}
	return Convert(q.value, q.unit, u)
}

// Beside holds a quantity against a limit that is written out: on which side of it the
// quantity lies, as [cmp.Compare] says it, and the limit in the unit of the quantity.
func (q Of[D]) Beside(limit string) (side int, said string, err error) {
	l, err := parse[D](limit)
	if err != nil {
		return 0, "", err
	}
	if said = l.text; l.unit != q.unit {
		is := l.In(q.unit)
		said = Short(is, q.unit, q.unit, max(0, 2-int(math.Log10(max(1, math.Abs(is))))))
	}
	return cmp.Compare(q.In(l.unit), l.value), said, nil
}

// Convert returns a number of one unit in another of the same dimension.
func Convert[D Dimension](value float64, from, to Unit[D]) float64 {
	return convert(value, from.scale(), to.scale())
}

func convert(value float64, a, b scale) float64 {
	if a.times == b.times && a.over == b.over && a.zero == b.zero {
		return value
	}
	base := (value - a.zero) * a.times / a.over
	return base*b.over/b.times + b.zero
}

// MarshalText returns the text as typed.
func (q Of[D]) MarshalText() ([]byte, error) { return []byte(q.text), nil }

// UnmarshalText does what Parse does, except that empty text stands for nothing
// entered, as MarshalText writes it. Whether a quantity may be missing is for the
// payload that holds it to say. Errors are of type *Error.
func (q *Of[D]) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*q = Of[D]{}
		return nil
	}
	got, err := parse[D](string(text))
	if err != nil {
		return err
	}
	*q = got
	return nil
}

// JSONSchemaHint returns what a schema made by reflection can say of the type: one
// example, every accepted spelling of its units, the usual one of each unit first, and
// whether a space may stand between thousands.
func (Of[D]) JSONSchemaHint() (example string, units []string, grouped bool) {
	about := dimensionOf[D]()
	for _, s := range about.scales {
		units = append(units, s.spellings...)
	}
	return about.example, units, about.grouped
}

// Unit is a unit of dimension D, one of this package's constants. The zero Unit is no
// unit at all.
type Unit[D Dimension] uint8

// String returns the usual spelling, such as "N·m", or "" for the zero Unit.
func (u Unit[D]) String() string {
	if u == 0 {
		return ""
	}
	return u.scale().spellings[0]
}

// MarshalText returns the usual spelling.
func (u Unit[D]) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText takes the usual spelling, and no text for the zero Unit. Errors are of
// type *Error.
func (u *Unit[D]) UnmarshalText(text []byte) error {
	i := 0
	if len(text) > 0 {
		if i = slices.Index(u.Words(), string(text)) + 1; i == 0 {
			about := dimensionOf[D]()
			return &Error{Text: string(text), Want: "a unit of " + about.noun, Problem: "this must be one of " + strings.Join(u.Words(), ", ")}
		}
	}
	*u = Unit[D](i)
	return nil
}

// Words lists the usual spellings of all units of the dimension.
func (Unit[D]) Words() (usual []string) {
	for _, s := range dimensionOf[D]().scales[1:] {
		usual = append(usual, s.spellings[0])
	}
	return usual
}

func (u Unit[D]) scale() scale { return dimensionOf[D]().scales[u] }

// Format writes a computed value with its unit, rounded to the given digits after the
// decimal point: Format(108.4654, NewtonMetre, 1) is "108.5 N·m".
func Format[D Dimension](value float64, u Unit[D], digits int) string {
	number := strconv.FormatFloat(value, 'f', digits, 64)
	if rounded, err := strconv.ParseFloat(number, 64); err == nil && rounded == 0 {
		number = strconv.FormatFloat(0, 'f', digits, 64) // never "-0.0"
	}
	return number + " " + u.String()
}
