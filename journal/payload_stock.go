package journal

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of powder and fluid.
type (
	// PowderLot is the data of powder.received.
	PowderLot struct {
		Lot       LotID       `json:"lot"`
		Chemistry Chemistry   `json:"chemistry"`
		Colour    string      `json:"colour"`
		Mass      unit.Mass   `json:"mass,omitzero" span:"powder"`
		Schedule  []BakePoint `json:"schedule,omitempty"` // as on the data sheet
		Most      []BakePoint `json:"most,omitempty"`     // the longest that the sheet allows
		FilmLow   unit.Length `json:"film_low,omitzero" span:"wanted"`
		FilmHigh  unit.Length `json:"film_high,omitzero" span:"wanted"`
		Sheet     string      `json:"sheet,omitzero"` // name and revision of the data sheet
		UseBy     Date        `json:"use_by,omitzero"`
		Opened    Date        `json:"opened,omitzero"`  // the box
		Storage   string      `json:"storage,omitzero"` // how it is kept: "dry cabinet, below 25 °C"
		Evidence
	}

	// BakePoint is one point of a bake schedule: time at metal temperature.
	BakePoint struct {
		Metal unit.Temperature `json:"metal" span:"schedule"`
		Hold  unit.Duration    `json:"hold" span:"bake"`
	}

	// FluidContainer is the data of fluid.opened.
	FluidContainer struct {
		Fluid  FluidID     `json:"fluid"`
		Grade  FluidGrade  `json:"grade"`
		Volume unit.Volume `json:"volume,omitzero" span:"bottle"`
		Batch  string      `json:"batch,omitzero"`
		UseBy  Date        `json:"use_by,omitzero"`
		Opened Date        `json:"opened,omitzero" since:"2"` // if not on the day of the entry
		Evidence
	}
)

func (*PowderLot) Kind() Kind      { return PowderReceived }
func (*FluidContainer) Kind() Kind { return FluidOpened }

func (p *PowderLot) Say() string {
	return words.Clauses(fmt.Sprintf("powder lot %s received: %s", p.Lot, p.Colour), string(p.Chemistry), p.Mass.String(), words.Fill("schedule %s, metal temperature", p.Printed()), words.Fill("at most %s, metal temperature", points(p.Most)),
		words.Fill("film %s", words.Span(p.FilmLow, p.FilmHigh)), words.Fill("as on %s", p.Sheet), words.Fill("use by %s", p.UseBy.Said(p.writing)), words.Fill("opened on %s", p.Opened.Said(p.writing)), words.Fill("stored: %s", p.Storage))
}

func (p *FluidContainer) Say() string {
	return words.Clauses(fmt.Sprintf("fluid container %s opened: %s", p.Fluid, p.Grade), p.Volume.String(), words.Fill("batch %s", p.Batch), words.Fill("use by %s", p.UseBy.Said(p.writing)), words.Fill("open since %s", p.Opened.Said(p.writing)))
}

// Printed writes the schedule as the data sheet has it.
func (p *PowderLot) Printed() string { return points(p.Schedule) }

// points writes the points of a bake: "10 min at 200 °C or 15 min at 190 °C".
func points(list []BakePoint) string {
	var said []string
	for _, b := range list {
		said = append(said, fmt.Sprintf("%s at %s", b.Hold, b.Metal))
	}
	return strings.Join(said, " or ")
}

// Chemistry is a powder's binder.
type Chemistry = Choice[chemistries]

type chemistries struct{}

func (chemistries) words() []string {
	return written(PolyesterTGIC, PolyesterHAA, Epoxy, EpoxyPolyester, Polyurethane, Acrylic, ZincRichEpoxy, ChemistryNotStated)
}

// The words of [Chemistry].
const (
	PolyesterTGIC      Chemistry = "polyester/TGIC"
	PolyesterHAA       Chemistry = "polyester/HAA"
	Epoxy              Chemistry = "epoxy"
	EpoxyPolyester     Chemistry = "epoxy-polyester"
	Polyurethane       Chemistry = "polyurethane"
	Acrylic            Chemistry = "acrylic"
	ZincRichEpoxy      Chemistry = "zinc-rich epoxy"
	ChemistryNotStated Chemistry = "not stated"
)

// FluidGrade is a brake fluid's grade as on its container.
type FluidGrade = Choice[fluidGrades]

type fluidGrades struct{}

func (fluidGrades) words() []string {
	return written(DOT3, DOT4, DOT5, DOT51, MineralOil)
}

// The words of [FluidGrade].
const (
	DOT3       FluidGrade = "DOT 3"
	DOT4       FluidGrade = "DOT 4"
	DOT5       FluidGrade = "DOT 5"
	DOT51      FluidGrade = "DOT 5.1"
	MineralOil FluidGrade = "mineral oil"
)
