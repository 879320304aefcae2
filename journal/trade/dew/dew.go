// Package dew says whether metal is warm enough to be coated: how far it lies above the
// dew point of the air around it.
//
// It promises a dew point only where its formula holds, from −40 °C to 50 °C, and a
// humidity above zero and up to 100 %.
//
//	result, err := dew.Judge(air, humidity, metal, unit.TemperatureDifference{})
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

// Result is a verdict with all of its figures, in °C and K.
type Result struct {
	Air          unit.Temperature
	Humidity     unit.Ratio
	Metal        unit.Temperature
	DewPoint     float64 // °C
	Margin       float64 // K by which the metal is warmer than the dew point
	Wanted       float64 // K
	Pass         bool
	Formula      string // and where it holds
	WantedSource string
	Warnings     []string
}

// Point returns the dew point in °C. Errors are of type *Error.
func Point(air unit.Temperature, humidity unit.Ratio) (celsius float64, err error) {
	t, rh := air.In(unit.Celsius), humidity.In(unit.Percent)
	switch {
	case air.IsZero():
		return 0, sheet.Refuse("the air", "not entered", "write the air's temperature where the part hangs")
	case humidity.IsZero():
		return 0, sheet.Refuse("the humidity", "not entered", "write the relative humidity where the part hangs")
	case !(coldest <= t && t <= hottest):
		return 0, sheet.Refuse("the air", air.String(), fmt.Sprintf("the formula holds from %.0f °C to %.0f °C: check the number, and whether it is °C or °F", coldest, hottest))
	case !(rh > 0 && rh <= 100):
		return 0, sheet.Refuse("the humidity", humidity.String(), "relative humidity is above 0 and at most 100 %: check the sensor")
	}
	gamma := math.Log(rh/100) + magnusA*t/(magnusB+t)
	celsius = magnusB * gamma / (magnusA - gamma)
	if celsius < coldest {
		return 0, sheet.Refuse("the air and its humidity", air.String()+" and "+humidity.String(), fmt.Sprintf("the dew point is below %.0f °C, where the formula no longer holds: such air is drier than any shop's, check the sensor", coldest))
	}
	return celsius, nil
}

// Judge compares the metal's temperature with the dew point. An empty margin takes the
// usual 3 K. Errors are of type *Error.
func Judge(air unit.Temperature, humidity unit.Ratio, metal unit.Temperature, margin unit.TemperatureDifference) (Result, error) {
	point, err := Point(air, humidity)
	if err != nil {
		return Result{}, err
	}
	r := Result{
		Air: air, Humidity: humidity, Metal: metal,
		DewPoint: point, Wanted: UsualMargin, WantedSource: usualSource, Formula: formulaSource,
	}
	if !margin.IsZero() {
		r.Wanted, r.WantedSource = margin.In(unit.Kelvin), enteredSource
	}
	switch {
	case metal.IsZero():
		return Result{}, sheet.Refuse("the metal", "not entered", "measure the part itself: a casting stays colder than the air for hours")
	case !(r.Wanted >= 0):
		return Result{}, sheet.Refuse("the margin", margin.String(), "metal below the dew point is wet: the margin must be zero or more")
	}
	r.Margin = metal.In(unit.Celsius) - point
	r.Pass = !sheet.Below(r.Margin, r.Wanted)
	if r.Wanted < UsualMargin {
		r.Warnings = append(r.Warnings, fmt.Sprintf("a margin of %.1f K is less than the usual %.0f K", r.Wanted, UsualMargin))
	}
	if point < 0 {
		r.Warnings = append(r.Warnings, "the dew point is below freezing: frost forms a little earlier than the figure says")
	}
	return r, nil
}

// Say returns the verdict as one sentence, temperatures in the unit of the air.
func (r Result) Say() string {
	verdict, margin := "passes", math.Abs(r.Margin)
	if !r.Pass {
		verdict = "fails"
	}
	point := unit.Format(r.DewPoint, unit.Celsius, 1)
	wanted := unit.Format(r.Wanted, unit.Kelvin, 1)
	far := unit.Format(margin, unit.Kelvin, 1)
	if r.Air.Unit() == unit.Fahrenheit {
		point = unit.Format(r.DewPoint*1.8+32, unit.Fahrenheit, 1)
		wanted = unit.Format(r.Wanted*1.8, unit.FahrenheitDegree, 1)
		far = unit.Format(margin*1.8, unit.FahrenheitDegree, 1)
	}
	if r.Margin < 0 {
		return fmt.Sprintf("the metal is %s below the dew point of %s, so it is wet; at least %s above it is required: %s", far, point, wanted, verdict)
	}
	return fmt.Sprintf("the metal is %s above the dew point of %s; at least %s is required: %s", far, point, wanted, verdict)
}
