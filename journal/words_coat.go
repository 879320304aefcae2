package journal

import (
	"fmt"
	"strings"
)

// Rag is what a white rag showed after a soak: a soak is done when the rag
// stays clean, not when the clock says so (common practice, no source).
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

// DefectName is a defect by the trade's name.
type DefectName = Choice[defects]

type defects struct{}

func (defects) words() []string {
	return written(OutgassingPinhole, MoisturePop, ThickFilmGassing, Fisheye, BackIonisation, OrangePeel, ThinRecess, Sag, Undercure, Overbaked, AdhesionLoss, FlashRust, MaskBridging, Inclusion, SeatChip, FluidAttack, CorrosionCreep, Scratch, OtherDefect)
}

// The words of [DefectName].
const (
	OutgassingPinhole DefectName = "outgassing pinhole"
	MoisturePop       DefectName = "moisture pop"
	ThickFilmGassing  DefectName = "thick-film gassing"
	Fisheye           DefectName = "fisheye"
	BackIonisation    DefectName = "back-ionisation"
	OrangePeel        DefectName = "orange peel"
	ThinRecess        DefectName = "thin recess"
	Sag               DefectName = "sag"
	Undercure         DefectName = "undercure"
	Overbaked         DefectName = "overbake"
	AdhesionLoss      DefectName = "adhesion loss"
	FlashRust         DefectName = "flash rust under film"
	MaskBridging      DefectName = "bridging at mask"
	Inclusion         DefectName = "inclusion"
	SeatChip          DefectName = "chip at bolt seat"
	FluidAttack       DefectName = "brake fluid attack"
	CorrosionCreep    DefectName = "corrosion creep"
	Scratch           DefectName = "scratch"
	OtherDefect       DefectName = "other"
)

// DefectStage is when a defect was first seen.
type DefectStage = Choice[defectStages]

type defectStages struct{}

func (defectStages) words() []string {
	return written(BeforeCoating, BeforeBake, AfterBake, AtAssembly, AfterHandover)
}

// The words of [DefectStage].
const (
	BeforeCoating DefectStage = "before coating"
	BeforeBake    DefectStage = "before bake"
	AfterBake     DefectStage = "after bake"
	AtAssembly    DefectStage = "at assembly"
	AfterHandover DefectStage = "after handover"
)

// ReworkDecision is what is done about a defect.
type ReworkDecision = Choice[reworkDecisions]

type reworkDecisions struct{}

func (reworkDecisions) words() []string {
	return written(StripAndRecoat, TouchIn, AcceptAsIs, ScrapPart)
}

// The words of [ReworkDecision].
const (
	StripAndRecoat ReworkDecision = "strip and recoat"
	TouchIn        ReworkDecision = "touch in"
	AcceptAsIs     ReworkDecision = "accept as is"
	ScrapPart      ReworkDecision = "scrap the part"
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

// decimal reports whether a word is digits with an optional sign and point.
func decimal(word string) bool {
	whole, frac, point := strings.Cut(strings.TrimPrefix(word, "-"), ".")
	return whole != "" && digits(whole) && (!point || frac != "" && digits(frac)) && len(word) < 20
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }
