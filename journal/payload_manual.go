package journal

import (
	"fmt"
	"slices"

	"fettlebook/journal/words"
)

// Manual is the data of manual.read: what the vehicle itself asks for, by the
// cap of its reservoir, a label or its manual. What an entry leaves out stands
// as an earlier one said it.
type Manual struct {
	Fluid FluidGrade `json:"fluid,omitzero"`
	Order []Corner   `json:"order,omitempty"` // of bleeding
	From  ReadFrom   `json:"from"`
	Page  string     `json:"page,omitzero"`
	Evidence
}

func (*Manual) Kind() Kind { return ManualRead }

// Say reads "the vehicle asks for DOT 4; …".
func (p *Manual) Say() string {
	return words.Clauses("what the vehicle asks for", words.Fill("fluid %s", p.Fluid), words.Fill("bled in the order %s", words.Commas(p.Order...)),
		fmt.Sprintf("by its %s", p.From), words.Fill("page %s", p.Page))
}

func (p *Manual) check(found *problems) {
	if p.Fluid == "" && len(p.Order) == 0 {
		found.missing("fluid")
	}
	all := slices.Sorted(slices.Values(p.Order))
	if len(all) > 0 && !slices.Equal(all, []Corner{"LF", "LR", "RF", "RR"}) {
		found.add("order", Clash, "an order of bleeding names LF, RF, LR and RR, each once")
	}
}

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
