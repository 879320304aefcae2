package journal

import (
	"fmt"
	"strings"
)

// Rag is what a white rag showed after a soak: a soak is done when the rag
// stays clean, not when the clock says so (common practice, no source).
type Rag = Choice[rags]

type rags struct{}

func (rags) words() []string { return []string{"clean", "stained"} }

// TemperatureUnit is the unit of a recorder's readings.
type TemperatureUnit = Choice[temperatureUnits]

type temperatureUnits struct{}

func (temperatureUnits) words() []string { return []string{"°C", "°F"} }

// CureMeans is how a cure was observed. Only a probe on the part shows what
// the part itself had.
type CureMeans = Choice[cureMeans]

type cureMeans struct{}

func (cureMeans) words() []string {
	return []string{"probe on the part", "infrared thermometer", "oven clock"}
}

// AdhesionScale is a cross-cut scale; the two run opposite ways.
type AdhesionScale = Choice[adhesionScales]

type adhesionScales struct{}

func (adhesionScales) words() []string { return []string{"ISO 2409", "ASTM D3359 B"} }

// TestPiece is what a destructive test was made on.
type TestPiece = Choice[testPieces]

type testPieces struct{}

func (testPieces) words() []string { return []string{"coupon", "part"} }

// DefectName is a defect by the trade's name.
type DefectName = Choice[defects]

type defects struct{}

func (defects) words() []string {
	return []string{
		"outgassing pinhole", "moisture pop", "thick-film gassing", "fisheye", "back-ionisation", "orange peel",
		"thin recess", "sag", "undercure", "overbake", "adhesion loss", "flash rust under film", "bridging at mask",
		"inclusion", "chip at bolt seat", "brake fluid attack", "corrosion creep", "scratch", "other",
	}
}

// DefectStage is when a defect was first seen.
type DefectStage = Choice[defectStages]

type defectStages struct{}

func (defectStages) words() []string {
	return []string{"before coating", "before bake", "after bake", "at assembly", "after handover"}
}

// ReworkDecision is what is done about a defect.
type ReworkDecision = Choice[reworkDecisions]

type reworkDecisions struct{}

func (reworkDecisions) words() []string {
	return []string{"strip and recoat", "touch in", "accept as is", "scrap the part"}
}

// Series is decimal numbers as a recorder wrote them, one space between.
type Series string

// UnmarshalText checks every number.
func (s *Series) UnmarshalText(text []byte) error {
	for i, word := range strings.Split(string(text), " ") {
		if !decimal(word) {
			return fmt.Errorf("number %d of the series, %.20q, is no plain decimal number", i+1, word)
		}
	}
	*s = Series(text)
	return nil
}

func (s Series) count() int { return strings.Count(string(s), " ") + 1 }

// decimal reports whether a word is digits with an optional sign and point.
func decimal(word string) bool {
	whole, frac, point := strings.Cut(strings.TrimPrefix(word, "-"), ".")
	return whole != "" && digits(whole) && (!point || frac != "" && digits(frac)) && len(word) < 20
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }
