package journal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/words"
)

type (
	// MakeUp is the data of part.described: what a part has. It is stated once,
	// by counting at the bench, and what is asked of the part follows from it:
	// never what it has not, and what it has by name and count.
	MakeUp struct {
		Preset   string      `json:"preset,omitzero"` // of the card, with which it was begun
		Bores    []Item      `json:"bores,omitempty"` // plugged before powder
		Threads  []Item      `json:"threads,omitempty"`
		Seats    []Item      `json:"seats,omitempty"` // shown bare before the part goes back on
		Lands    []Item      `json:"lands,omitempty"`
		Rubber   []Item      `json:"rubber,omitempty"` // out before heat, new after it
		Bleeders int         `json:"bleeders" span:"bleeders"`
		Line     LineJoin    `json:"line"`
		Joints   []Bolting   `json:"joints,omitempty"`
		Parking  ParkingKind `json:"parking_brake"`
		Uncoated bool        `json:"uncoated,omitzero"` // it goes back without a coat: only its rubber is new, or nothing

		// CameBare says that none of its rubber was in it when it came: a new
		// casting, or one that was bought so. Of a part that was on the vehicle
		// nobody can say that.
		CameBare bool `json:"came_bare,omitzero" since:"2"`
		Evidence
	}

	// Bolting is how many bolts or nuts hold a joint.
	Bolting struct {
		Joint     string `json:"joint"`
		Bolts     int    `json:"bolts" span:"bolts"`
		SingleUse bool   `json:"single_use,omitzero"` // they are not fitted twice
	}
)

// Kind returns part.described.
func (*MakeUp) Kind() Kind { return PartDescribed }

// Plugged returns what is plugged while powder goes on.
func (m *MakeUp) Plugged() []Item { return slices.Concat(m.Bores, m.Threads) }

// Bare returns what has to be without film when the part goes back on.
func (m *MakeUp) Bare() []Item { return slices.Concat(m.Seats, m.Lands) }

// Covered returns what is covered while powder goes on.
func (m *MakeUp) Covered() []Item { return slices.Concat(m.Plugged(), m.Bare()) }

// Say lists what the part has.
func (m *MakeUp) Say() string {
	return words.Clauses(words.Choose(len(m.Covered()) > 0, "to be kept bare: "+items(m.Covered()), "nothing to be kept bare"),
		words.Choose(len(m.Rubber) > 0, "rubber: "+items(m.Rubber), "no rubber"),
		words.Choose(m.Bleeders > 0, words.Count(m.Bleeders, "bleeder screw"), "no bleeder screw"),
		words.Choose(m.Line == NoLine, "no brake line", fmt.Sprintf("line by %s", m.Line)), words.Fill("bolts: %s", boltings(m.Joints)),
		words.Choose(m.Parking == NoParkingBrake, "no parking brake", fmt.Sprintf("parking brake: %s", m.Parking)), words.If(m.CameBare, "came without rubber in it"), words.If(m.Uncoated, "goes back without a coat"), words.Fill("started from the preset “%s”", m.Preset))
}

func boltings(list []Bolting) string {
	var said []string
	for _, b := range list {
		said = append(said, b.Joint+words.If(b.Bolts != 1, " ×"+strconv.Itoa(b.Bolts))+words.If(b.SingleUse, " (single-use)"))
	}
	return words.Commas(said...)
}

func (m *MakeUp) check(p *problems) {
	// What is covered is told apart by its name alone.
	covered, rubber := make(map[string]bool), make(map[string]bool)
	for _, list := range []struct {
		name  string
		items []Item
		seen  map[string]bool
	}{{"bores", m.Bores, covered}, {"threads", m.Threads, covered}, {"seats", m.Seats, covered}, {"lands", m.Lands, covered}, {"rubber", m.Rubber, rubber}} {
		p.counted(list.name, list.items)
		for _, i := range list.items {
			if name := Called(i.What); list.seen[name] {
				p.add(list.name, Twice, "names %s twice; give the two names of their own, or count them together", name)
			} else {
				list.seen[name] = true
			}
		}
	}
	p.least("bleeders", m.Bleeders, 0)
	var joints []string
	for i, b := range m.Joints {
		p.least(row("joints", i)+".bolts", b.Bolts, 1)
		joints = append(joints, Called(b.Joint))
	}
	distinct(p, "joints", joints)
}

// Called brings the name of a small thing into the form in which names are
// compared: case, spaces and the plural do not matter.
func Called(name string) string {
	return words.Singular(strings.ToLower(strings.Join(strings.Fields(name), " ")))
}

// LineJoin is how the brake line joins a part.
type LineJoin = Choice[lineJoins]

type lineJoins struct{}

func (lineJoins) words() []string { return written(ByBanjo, ByFlareNut, NoLine) }

// The words of [LineJoin].
const (
	ByBanjo    LineJoin = "banjo"
	ByFlareNut LineJoin = "flare nut"
	NoLine     LineJoin = "none"
)

// ParkingKind is the parking brake that a part works.
type ParkingKind = Choice[parkingKinds]

type parkingKinds struct{}

func (parkingKinds) words() []string {
	return written(NoParkingBrake, ElectricParking, CableParking, DrumParking)
}

// The words of [ParkingKind].
const (
	NoParkingBrake  ParkingKind = "none"
	ElectricParking ParkingKind = "electric"
	CableParking    ParkingKind = "cable"
	DrumParking     ParkingKind = "drum in the hat"
)
