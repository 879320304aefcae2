package card

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Preset is what parts of a sort have as a rule: a start, which is corrected by
// counting at the bench. A number that is not given is 1.
type Preset struct {
	Name  string   `yaml:"name"`
	Parts []string `yaml:"parts" jsonschema:"minItems=1"` // what such parts are called, without their numbers

	Bores    []Counted           `yaml:"bores,omitempty"`
	Threads  []Counted           `yaml:"threads,omitempty"`
	Seats    []Counted           `yaml:"seats,omitempty"`
	Lands    []Counted           `yaml:"lands,omitempty"`
	Rubber   []Counted           `yaml:"rubber,omitempty"`
	Bleeders int                 `yaml:"bleeders,omitempty" jsonschema:"minimum=0"`
	Line     journal.LineJoin    `yaml:"line,omitempty" jsonschema:"enum=banjo,enum=flare nut,enum=none"` // none if not given
	Joints   []Bolted            `yaml:"joints,omitempty"`
	Parking  journal.ParkingKind `yaml:"parking_brake,omitempty" jsonschema:"enum=none,enum=electric,enum=cable,enum=drum in the hat"` // none if not given
}

// Counted is how many of a thing a part has.
type Counted struct {
	What  string `yaml:"what"`
	Count int    `yaml:"count,omitempty" jsonschema:"minimum=1"`
}

// Bolted is how many bolts or nuts hold a joint of the card.
type Bolted struct {
	Joint     string `yaml:"joint"` // by one of its names
	Bolts     int    `yaml:"bolts,omitempty" jsonschema:"minimum=1"`
	SingleUse bool   `yaml:"single_use,omitempty"`
}

// MakeUp returns the preset as an entry would state it.
func (p Preset) MakeUp() *journal.MakeUp {
	m := &journal.MakeUp{
		Preset: p.Name, Bores: counted(p.Bores), Threads: counted(p.Threads), Seats: counted(p.Seats), Lands: counted(p.Lands), Rubber: counted(p.Rubber),
		Bleeders: p.Bleeders, Line: p.Line, Parking: p.Parking,
	}
	if m.Line == "" {
		m.Line = journal.NoLine
	}
	if m.Parking == "" {
		m.Parking = journal.NoParkingBrake
	}
	for _, j := range p.Joints {
		m.Joints = append(m.Joints, journal.Bolting{Joint: j.Joint, Bolts: max(1, j.Bolts), SingleUse: j.SingleUse})
	}
	return m
}

func counted(list []Counted) []journal.Item {
	var items []journal.Item
	for _, c := range list {
		items = append(items, journal.Item{What: c.What, Count: max(1, c.Count)})
	}
	return items
}

// Presets are those that parts of a name can be begun with.
type Presets []Preset

// PresetsOf returns the presets for parts of a name.
func (c *Card) PresetsOf(part journal.PartID) Presets {
	return slices.DeleteFunc(slices.Clone(c.Presets), func(p Preset) bool { return !slices.Contains(p.Parts, Base(part)) })
}

// Begin returns what a preset states, to be corrected by hand. A name that none
// of them has is refused with a *[NoPreset].
func (list Presets) Begin(name string) (*journal.MakeUp, error) {
	i := slices.IndexFunc(list, func(p Preset) bool { return p.Name == name })
	if i < 0 {
		return nil, &NoPreset{Name: name, Known: list}
	}
	return list[i].MakeUp(), nil
}

// NoPreset says that a part cannot be begun with a preset of that name.
type NoPreset struct {
	Name  string
	Known Presets
}

func (e *NoPreset) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("%s is not known: the route card has no preset for such a part, so state what it has field by field", words.Quoted(e.Name))
	}
	var names []string
	for _, p := range e.Known {
		names = append(names, words.Quoted(p.Name))
	}
	return fmt.Sprintf("%s is not known; for such a part the route card has %s", words.Quoted(e.Name), words.And(names...))
}
