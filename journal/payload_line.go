package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of the brake lines: opened, closed with new washers, filled and
// bled.
type (
	// Washers is the data of washer.replaced.
	Washers struct {
		Joint    string         `json:"joint"`
		Count    int            `json:"count" span:"washers"`
		Material WasherMaterial `json:"material"`
		Size     string         `json:"size,omitzero"`
		Kit      KitID          `json:"kit,omitzero" since:"2"` // out of which they came
		Evidence
	}

	// LineOpening is the data of line.opened. What was bled before is
	// bled again.
	LineOpening struct {
		At    string    `json:"at"`
		Joins LineJoint `json:"joins,omitzero" since:"2"` // how the line joins there
		Evidence
	}

	// LineConnection is the data of line.connected.
	LineConnection struct {
		At string `json:"at"`
		Evidence
	}

	// Reservoir is the data of reservoir.topped. Level is a share of the way
	// from MIN to MAX.
	Reservoir struct {
		Before unit.Ratio  `json:"before" span:"level"`
		After  unit.Ratio  `json:"after" span:"level"`
		Added  unit.Volume `json:"added,omitzero" span:"filled"`
		Fluid  FluidID     `json:"fluid,omitzero"`
		RanDry bool        `json:"ran_dry,omitzero"`                     // air was drawn in; everything starts over
		Span   unit.Volume `json:"span,omitzero" since:"2" span:"scale"` // from MIN to MAX, measured or printed
		Evidence
	}

	// Bleed is the data of bleed.done.
	Bleed struct {
		Fluid   FluidID     `json:"fluid"`
		Drawn   unit.Volume `json:"drawn" span:"filled"`
		Bubbles Bubbles     `json:"bubbles"`
		Screw   unit.Torque `json:"screw,omitzero" span:"torque"`
		Tool    ToolID      `json:"tool,omitzero"`
		ByHand  bool        `json:"by_hand,omitzero" since:"2"`              // the screw was closed by hand feel; the maker gives no figure
		Whole   bool        `json:"whole,omitzero" since:"2"`                // the fluid of the whole system is being changed
		Screws  int         `json:"screws,omitzero" since:"2" span:"screws"` // bleeder screws of the corner that were bled, one after the other; 1 if left out
		Which   string      `json:"which,omitzero" since:"2"`                // the one that was bled, of several: "inner"
		Evidence
	}
)

func (*Washers) Kind() Kind        { return WasherReplaced }
func (*LineOpening) Kind() Kind    { return LineOpened }
func (*LineConnection) Kind() Kind { return LineConnected }
func (*Reservoir) Kind() Kind      { return ReservoirTopped }
func (*Bleed) Kind() Kind          { return BleedDone }

func (p *Washers) Say() string {
	return words.Clauses(fmt.Sprintf("%s at %s: %s", words.Count(p.Count, "new washer"), p.Joint, p.Material), p.Size, words.Fill("out of kit %s", p.Kit))
}

func (p *LineOpening) Say() string {
	return words.Clauses("hydraulics opened at "+p.At, words.Fill("joins by %s", p.Joins))
}

func (p *LineConnection) Say() string { return "hydraulics closed at " + p.At }

func (p *Reservoir) Say() string {
	return words.Clauses(fmt.Sprintf("fluid %s of the way from MIN to MAX, then %s", p.Before, p.After), words.Given("added %s", p.Added), words.Fill("from %s", p.Fluid),
		words.If(p.RanDry, "ran dry: air was drawn in"), words.Given("%s from MIN to MAX", p.Span))
}

func (p *Bleed) Say() string {
	return words.Clauses(fmt.Sprintf("bled %s of %s", p.Drawn, p.Fluid)+p.at(), fmt.Sprintf("bubbles at the end: %s", p.Bubbles),
		words.Given("bleeder screw %s", p.Screw)+words.Fill(" with %s", p.Tool), words.If(p.ByHand, "bleeder screw closed by hand, as the maker gives no figure"),
		words.If(p.Whole, "the fluid of the whole system is being changed"))
}

// at says at which bleeder screws, as far as somebody wrote it.
func (p *Bleed) at() string {
	if p.Which != "" {
		return " at the " + p.Which + " bleeder screw"
	}
	return words.If(p.Screws > 0, " at "+words.Count(p.Screws, "bleeder screw"))
}

// LineJoint is how a brake line joins where it was opened.
type LineJoint = Choice[lineJoints]

type lineJoints struct{}

func (lineJoints) words() []string { return written(JoinsByBanjo, JoinsByFlare, JoinsByBleeder) }

// The words of [LineJoint].
const (
	JoinsByBanjo   LineJoint = "banjo with washers"
	JoinsByFlare   LineJoint = "flare nut"
	JoinsByBleeder LineJoint = "bleeder screw"
)

func (w *Washers) check(p *problems) { p.least("count", w.Count, 1) }

func (b *Bleed) check(p *problems) {
	if p.least("screws", b.Screws, 0); b.Which != "" && b.Screws > 1 {
		p.add("which", Clash, "one bleeder screw is named and %d are counted; write an entry for each, or leave its name out", b.Screws)
	}
}

// WasherMaterial is what a sealing washer is made of.
type WasherMaterial = Choice[washerMaterials]

type washerMaterials struct{}

func (washerMaterials) words() []string {
	return written(CopperWasher, AluminiumWasher, BondedSeal, OtherWasher)
}

// The words of [WasherMaterial].
const (
	CopperWasher    WasherMaterial = "copper"
	AluminiumWasher WasherMaterial = "aluminium"
	BondedSeal      WasherMaterial = "bonded seal"
	OtherWasher     WasherMaterial = "other"
)

// Bubbles is what came out of a bleeder at the end.
type Bubbles = Choice[bubbles]

type bubbles struct{}

func (bubbles) words() []string {
	return written(NoBubbles, SomeBubbles, ManyBubbles)
}

// The words of [Bubbles].
const (
	NoBubbles   Bubbles = "none"
	SomeBubbles Bubbles = "some"
	ManyBubbles Bubbles = "many"
)
