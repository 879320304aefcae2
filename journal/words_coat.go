package journal

import (
	"fmt"
	"math"
	"strings"

	"fettlebook/journal/trade/unit"
)

// Rag is what a white rag showed after a soak: a soak is done when the rag
// stays clean, not when the clock says so (shop default).
type Rag = Choice[rags]

type rags struct{}

func (rags) words() []string {
	return written(RagClean, RagStained)
}

// The words of [Rag].
const (
	RagClean   Rag = "clean"
	RagStained Rag = "stained"
)

// Wetness is how washing left a part.
type Wetness = Choice[wetnesses]

type wetnesses struct{}

func (wetnesses) words() []string { return written(LeftDry, WetWithWater, WetWithSolvent) }

// The words of [Wetness].
const (
	LeftDry        Wetness = "dry"
	WetWithWater   Wetness = "wet with water"
	WetWithSolvent Wetness = "wet with solvent"
)

// TemperatureUnit is the unit of a recorder's readings.
type TemperatureUnit = Choice[temperatureUnits]

type temperatureUnits struct{}

func (temperatureUnits) words() []string {
	return written(UnitCelsius, UnitFahrenheit)
}

// The words of [TemperatureUnit].
const (
	UnitCelsius    TemperatureUnit = "°C"
	UnitFahrenheit TemperatureUnit = "°F"
)

// Weight is how heavy one part is beside another.
type Weight = Choice[weights]

type weights struct{}

func (weights) words() []string { return written(Alike, Lighter, Heavier) }

// The words of [Weight].
const (
	Alike   Weight = "alike"
	Lighter Weight = "lighter"
	Heavier Weight = "heavier"
)

// CureMeans is how a cure was observed. Only a probe on the part shows what
// the part itself had.
type CureMeans = Choice[cureMeans]

type cureMeans struct{}

func (cureMeans) words() []string {
	return written(ProbeOnPart, ByInfrared, OvenClock)
}

// The words of [CureMeans].
const (
	ProbeOnPart CureMeans = "probe on the part"
	ByInfrared  CureMeans = "infrared thermometer"
	OvenClock   CureMeans = "oven clock"
)

// AdhesionScale is a cross-cut scale; the two run opposite ways.
type AdhesionScale = Choice[adhesionScales]

type adhesionScales struct{}

func (adhesionScales) words() []string {
	return written(ISO2409, ASTMD3359B)
}

// The words of [AdhesionScale].
const (
	ISO2409    AdhesionScale = "ISO 2409"
	ASTMD3359B AdhesionScale = "ASTM D3359 B"
)

// TestPiece is what a destructive test was made on.
type TestPiece = Choice[testPieces]

type testPieces struct{}

func (testPieces) words() []string {
	return written(OnCoupon, OnPart)
}

// The words of [TestPiece].
const (
	OnCoupon TestPiece = "coupon"
	OnPart   TestPiece = "part"
)

// Series is decimal numbers as a recorder wrote them, one space between.
type Series string

// UnmarshalText checks every number.
func (s *Series) UnmarshalText(text []byte) error {
	for i, word := range strings.Split(string(text), " ") {
		if !decimal(word) {
			return fmt.Errorf("number %d of the series, %.20q, is not a plain decimal number", i+1, word)
		}
	}
	*s = Series(text)
	return nil
}

func (s Series) count() int { return strings.Count(string(s), " ") + 1 }

// First returns the first number.
func (s Series) First() float64 {
	word, _, _ := strings.Cut(string(s), " ")
	x, _ := unit.Decimal(word)
	return x
}

// Last returns the last number.
func (s Series) Last() float64 {
	x, _ := unit.Decimal(string(s[strings.LastIndexByte(string(s), ' ')+1:]))
	return x
}

// LostReading stands in [Readings] for one that the recorder did not get.
const LostReading = "-"

// Readings is a [Series] in which readings may be lost.
type Readings string

// UnmarshalText checks every reading.
func (r *Readings) UnmarshalText(text []byte) error {
	for i, word := range strings.Split(string(text), " ") {
		if word != LostReading && !decimal(word) {
			return fmt.Errorf("reading %d of the series, %.20q, is not a plain decimal number or a dash where it was lost", i+1, word)
		}
	}
	*r = Readings(text)
	return nil
}

// Lost returns how many readings were lost.
func (r Readings) Lost() int {
	lost := 0
	for word := range strings.SplitSeq(string(r), " ") {
		if word == LostReading {
			lost++
		}
	}
	return lost
}

// Peak returns the greatest reading as it was written, if there is any.
func (r Readings) Peak() (peak string, any bool) {
	most := math.Inf(-1)
	for word := range strings.SplitSeq(string(r), " ") {
		if x, ok := unit.Decimal(word); ok && x > most {
			peak, most, any = word, x, true
		}
	}
	return peak, any
}

func (r Readings) count() int { return strings.Count(string(r), " ") + 1 }

// decimal reports whether a word is digits with an optional sign and point.
func decimal(word string) bool {
	whole, frac, point := strings.Cut(strings.TrimPrefix(word, "-"), ".")
	return whole != "" && digits(whole) && (!point || frac != "" && digits(frac)) && len(word) < 20
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }
