package journal

import (
	"fmt"
	"slices"

	"fettlebook/journal/words"
)

// The payloads of putting a part together and back on.
type (
	// Rebuild is the data of part.rebuilt.
	Rebuild struct {
		NewParts  []Item   `json:"new_parts,omitempty"` // seals, boots …
		Lubricant string   `json:"lubricant,omitzero"`
		Kits      []KitID  `json:"kits,omitempty" since:"2"`   // out of which they came
		Fitted    []Fitted `json:"fitted,omitempty" since:"2"` // those that came out of none
		Evidence
	}

	// SeatProof is the data of seat.proved. Seats are named, or counted since
	// version 2: of two bolt seats one may be bare and the other not.
	SeatProof struct {
		Seats []string  `json:"seats,omitempty"` // bolt seats, banjo face, pad lands …
		Shown []Item    `json:"shown,omitempty"` // the same, counted
		State SeatState `json:"state"`
		Evidence
	}

	// Refitting is the data of part.refitted.
	Refitting struct {
		Bleeder BleederAt `json:"bleeder,omitzero"`
		Evidence
	}
)

func (*Rebuild) Kind() Kind   { return PartRebuilt }
func (*SeatProof) Kind() Kind { return SeatProved }
func (*Refitting) Kind() Kind { return PartRefitted }

func (p *Rebuild) Say() string {
	return words.Clauses("rebuilt", words.Fill("new: %s", items(p.NewParts)), words.Fill("lubricant %s", p.Lubricant), words.Fill("out of kit %s", words.And(p.Kits...)), words.Fill("fitted: %s", fitted(p.Fitted)))
}

// News names the parts that went in new, counted or not.
func (p *Rebuild) News() (names []string) {
	for _, n := range p.NewParts {
		names = append(names, n.What)
	}
	for _, f := range p.Fitted {
		names = append(names, f.What)
	}
	return names
}

func (p *SeatProof) Say() string {
	return fmt.Sprintf("seats %s: %s", p.State, items(p.Counted()))
}

func (p *Refitting) Say() string {
	return "refitted" + words.Choose(p.Bleeder == NoBleeder, " (this part has no bleeder screw)", words.Fill("; bleeder screw %s", p.Bleeder))
}

// Counted returns the seats with their numbers: one of each that is only named.
func (s *SeatProof) Counted() []Item {
	list := slices.Clone(s.Shown)
	for _, name := range s.Seats {
		if !slices.ContainsFunc(s.Shown, func(i Item) bool { return Called(i.What) == Called(name) }) {
			list = append(list, Item{What: name, Count: 1})
		}
	}
	return list
}

func (s *SeatProof) check(p *problems) {
	p.counted("shown", s.Shown)
	if len(s.Seats)+len(s.Shown) == 0 {
		p.missing("shown")
	}
}

func (r *Rebuild) check(p *problems) { distinct(p, "kits", r.Kits) }

// SeatState is how seats looked before assembly.
type SeatState = Choice[seatStates]

type seatStates struct{}

func (seatStates) words() []string {
	return written(SeatBare, FilmCutAway, FilmLeft)
}

// The words of [SeatState].
const (
	SeatBare    SeatState = "bare"
	FilmCutAway SeatState = "film cut away"
	FilmLeft    SeatState = "film left"
)

// BleederAt is where the bleeder sits on the fitted caliper. Air collects at
// the top; a bleeder below cannot let it out.
type BleederAt = Choice[bleederPlaces]

type bleederPlaces struct{}

func (bleederPlaces) words() []string {
	return written(BleederUp, BleederDown, NoBleeder)
}

// The words of [BleederAt].
const (
	BleederUp   BleederAt = "up"
	BleederDown BleederAt = "down"
	NoBleeder   BleederAt = "none"
)
