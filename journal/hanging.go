package journal

import (
	"fmt"
	"slices"

	"fettlebook/journal/words"
)

// HungAt is where a part hung when it was sprayed or baked.
type HungAt struct {
	Part  Subject `json:"part"`
	Rack  string  `json:"rack,omitzero"`
	Hook  string  `json:"hook,omitzero"`
	Place string  `json:"place,omitzero"` // in the oven: "by the door, low"
}

// String reads "LF caliper: rack 2, hook 5, by the door".
func (p HungAt) String() string {
	return fmt.Sprintf("%s %s: %s", p.Part.Corner(), p.Part.Part(), words.Commas(words.Fill("rack %s", p.Rack), words.Fill("hook %s", p.Hook), p.Place))
}

// hanging says where parts hung.
func hanging(list []HungAt) string {
	var said []string
	for _, p := range list {
		said = append(said, p.String())
	}
	return words.Clauses(said...)
}

// hung refuses those that say nothing.
func (p *problems) hung(list []HungAt) {
	for i, at := range list {
		if at.Rack == "" && at.Hook == "" && at.Place == "" {
			p.add(row("positions", i), Clash, "write the rack, the hook or the place")
		}
	}
}

// OwnOf returns data as it is told of some parts: where others hung, and which
// probe stands for them, is left out, since nothing in such a sentence tells
// whose they are. What names no others comes back as it is.
func OwnOf(p Payload, mine func(Subject) bool) Payload {
	switch d := p.(type) {
	case *Coating:
		own := *d
		own.Positions = ownPositions(d.Positions, mine)
		return &own
	case *BakeStart:
		own := *d
		own.Positions = ownPositions(d.Positions, mine)
		own.StandIns = slices.DeleteFunc(slices.Clone(d.StandIns), func(s StandIn) bool { return !mine(s.Part) })
		return &own
	}
	return p
}

func ownPositions(list []HungAt, mine func(Subject) bool) []HungAt {
	return slices.DeleteFunc(slices.Clone(list), func(at HungAt) bool { return !mine(at.Part) })
}
