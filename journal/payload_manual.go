package journal

import (
	"fmt"

	"fettlebook/journal/words"
)

// Manual is the data of manual.read: what the vehicle itself asks for, by the
// cap of its reservoir, a label or its manual. What an entry leaves out stands
// as an earlier one said it.
type Manual struct {
	Fluid   FluidGrade  `json:"fluid,omitzero"`
	Order   []Corner    `json:"order,omitempty"` // of bleeding
	Parking ParkingKind `json:"parking_brake,omitzero"`
	From    ReadFrom    `json:"from"`
	Page    string      `json:"page,omitzero"`
	Evidence
}

func (*Manual) Kind() Kind { return ManualRead }

// Say reads "the vehicle asks for DOT 4; …".
func (p *Manual) Say() string {
	return words.Clauses(words.Choose(p.Fluid != "", fmt.Sprintf("the vehicle asks for %s", p.Fluid), "what the vehicle asks for"), words.Fill("bled in the order %s", words.Commas(p.Order...)),
		words.Fill("parking brake: %s", p.Parking), fmt.Sprintf("by its %s", p.From), words.Fill("page %s", p.Page))
}

func (p *Manual) check(found *problems) {
	if p.Fluid == "" && len(p.Order) == 0 && p.Parking == "" {
		found.missing("fluid")
	}
	if err := CheckBleedOrder(p.Order); err != nil {
		found.add("order", Clash, "%s", err)
	}
}

// ParkingTrial is the data of parkbrake.tried: whether it holds the vehicle.
type ParkingTrial struct {
	How   TriedHow `json:"how"`
	Holds bool     `json:"holds"`
	Evidence
}

func (*ParkingTrial) Kind() Kind { return ParkbrakeTried }

// Say reads "parking brake tried on a slope: it holds".
func (p *ParkingTrial) Say() string {
	return fmt.Sprintf("parking brake tried %s: it %s", p.How, words.Choose(p.Holds, "holds", "does not hold"))
}

func (p *ParkingTrial) check(*problems) {}

// TriedHow is how a parking brake was tried.
type TriedHow = Choice[trials]

type trials struct{}

func (trials) words() []string { return written(TriedOnSlope, TriedAgainstGear, TriedOnRoad) }

// The words of [TriedHow].
const (
	TriedOnSlope     TriedHow = "on a slope"
	TriedAgainstGear TriedHow = "against a gear"
	TriedOnRoad      TriedHow = "on the road test"
)

// ReadFrom is where on or in a vehicle's papers something is printed.
type ReadFrom = Choice[readings]

type readings struct{}

func (readings) words() []string { return written(ReadOnCap, ReadOnLabel, ReadInManual) }

// The words of [ReadFrom].
const (
	ReadOnCap    ReadFrom = "reservoir cap"
	ReadOnLabel  ReadFrom = "label"
	ReadInManual ReadFrom = "manual"
)
