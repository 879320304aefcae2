// Package dew says whether metal is warm enough to be coated: how far it lies above the
// dew point of the air around it.
//
// It promises a dew point only where its formula holds, from −40 °C to 50 °C, and a
// humidity above zero and up to 100 %.
//
//	result, err := dew.Judge(dew.Reading{Air: air, Humidity: humidity, Metal: metal})
//	result.Say() // "the metal is 6.6 K above the dew point of 14.4 °C; at least 3.0 K is required: passes"
//
// The dew point is that of the Magnus formula, Td = B·γ/(A − γ) with γ = ln(RH/100) +
// A·T/(B + T), A = 17.625 and B = 243.04 °C. The constants are those of Alduchov and
// Eskridge, "Improved Magnus Form Approximation of Saturation Vapor Pressure", Journal
// of Applied Meteorology 35 (1996), 601-609; the vapour pressure that they give is
// within 0.4 % from −40 °C to 50 °C, which is less than 0.1 K of dew point.
package dew

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

const (
	magnusA = 17.625
	magnusB = 243.04 // °C

	coldest = -40.0 // °C, where the formula holds
	hottest = 50.0

	// UsualMargin is how far metal should lie above the dew point, in K: the usual rule
	// of ISO 12944-7 and ASTM D3276, from memory. A data sheet may ask for more.
	UsualMargin = 3.0
)

const (
	formulaSource = "Magnus formula with the constants of Alduchov and Eskridge 1996, −40 to 50 °C"
	usualSource   = "usual rule of ISO 12944-7 and ASTM D3276"
	enteredSource = "as entered"
)

// Error says why a dew point cannot be given.
type Error = sheet.Error

// Reading is what was read where a part is to be coated. An empty margin takes the usual
// 3 K. Units are those of the sentences; without any, temperatures are in the unit of the
// air.
type Reading struct {
	Air      unit.Temperature
	Humidity unit.Ratio
	Metal    unit.Temperature
	Margin   unit.TemperatureDifference // wanted above the dew point
	Units    unit.System
}

// Result is a verdict with all of its figures, in °C and K.
type Result struct {
	Read         Reading
	DewPoint     float64 // °C
	Margin       float64 // K by which the metal is warmer than the dew point
	Wanted       float64 // K
	Pass         bool
	Formula      string // and where it holds
	WantedSource string
	Warnings     []string
}

// point is the dew point in °C. Errors are of type *Error.
func (r Reading) point() (celsius float64, err error) {
	t, rh := r.Air.In(unit.Celsius), r.Humidity.In(unit.Percent)
	switch {
	case r.Air.IsZero():
		return 0, sheet.Refuse("the air", "not entered", "write the air’s temperature where the part hangs")
	case r.Humidity.IsZero():
		return 0, sheet.Refuse("the humidity", "not entered", "write the relative humidity where the part hangs")
	case !(coldest <= t && t <= hottest):
		return 0, sheet.Refuse("the air", r.Air.String(), fmt.Sprintf("the formula holds from %s to %s: check the number, and whether it is °C or °F", r.limit(coldest), r.limit(hottest)))
	case !(rh > 0 && rh <= 100):
		return 0, sheet.Refuse("the humidity", r.Humidity.String(), "relative humidity must be above 0 % and at most 100 %: check the sensor")
	}
	gamma := math.Log(rh/100) + magnusA*t/(magnusB+t)
	celsius = magnusB * gamma / (magnusA - gamma)
	if celsius < coldest {
		return 0, sheet.Refuse("the air and its humidity", r.Air.String()+" and "+r.Humidity.String(), fmt.Sprintf("the dew point is below %s, where the formula no longer holds: such air is drier than in any shop, so check the sensor", r.limit(coldest)))
	}
	return celsius, nil
}

// limit writes a limit of the formula, which is in °C, in the shop's unit.
func (r Reading) limit(celsius float64) string {
	return unit.Show(celsius, unit.Celsius, r.Units.Temperature, 0)
}

// Judge compares the metal's temperature with the dew point. Errors are of type *Error.
func Judge(read Reading) (Result, error) {
	point, err := read.point()
	if err != nil {
		return Result{}, err
	}
	r := Result{Read: read, DewPoint: point, Wanted: UsualMargin, WantedSource: usualSource, Formula: formulaSource}
	if !read.Margin.IsZero() {
		r.Wanted, r.WantedSource = read.Margin.In(unit.Kelvin), enteredSource
	}
	switch {
	case read.Metal.IsZero():
		return Result{}, sheet.Refuse("the metal", "not entered", "measure the part itself: a casting stays colder than the air for hours")
	case !(r.Wanted >= 0):
		return Result{}, sheet.Refuse("the margin", read.Margin.String(), "metal below the dew point is wet: the margin must be zero or more")
	}
	r.Margin = read.Metal.In(unit.Celsius) - point
	r.Pass = !sheet.Below(r.Margin, r.Wanted)
	if r.Wanted < UsualMargin {
		r.Warnings = append(r.Warnings, r.Read.Units.Writing.Number(fmt.Sprintf("a margin of %s is less than the usual %s", r.Difference(r.Wanted), unit.Short(UsualMargin, unit.Kelvin, r.in(), 1))))
	}
	if point < 0 {
		r.Warnings = append(r.Warnings, "the dew point is below freezing: frost forms a little earlier than the figure says")
	}
	return r, nil
}

// in is the unit of differences in the sentences: the shop's, or the one that goes with
// the unit of the air.
func (r Result) in() unit.TemperatureDifferenceUnit {
	switch {
	case r.Read.Units.Difference != 0:
		return r.Read.Units.Difference
	case r.Read.Air.Unit() == unit.Fahrenheit:
		return unit.FahrenheitDegree
	}
	return unit.Kelvin
}

// Difference writes K in the unit of the sentences.
func (r Result) Difference(kelvin float64) string { return unit.Show(kelvin, unit.Kelvin, r.in(), 1) }

// Say returns the verdict as one sentence.
func (r Result) Say() string {
	verdict, margin := "passes", math.Abs(r.Margin)
	if !r.Pass {
		verdict = "fails"
	}
	w := r.Read.Units.Writing
	point := w.Number(unit.Show(r.DewPoint, unit.Celsius, unit.Like(r.Read.Air, r.Read.Units.Temperature), 1))
	wanted, far := w.Number(r.Difference(r.Wanted)), w.Number(r.Difference(margin))
	if r.Margin < 0 {
		return fmt.Sprintf("the metal is %s below the dew point of %s, so it is wet; at least %s above it is required: %s", far, point, wanted, verdict)
	}
	return fmt.Sprintf("the metal is %s above the dew point of %s; at least %s is required: %s", far, point, wanted, verdict)
}
