package card

import (
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/sheet"
)

// Card is a route card that was read and checked. It is never changed and is
// safe for concurrent use.
type Card struct {
	Name    journal.RouteID  `yaml:"name" jsonschema:"pattern=^[A-Za-z0-9][A-Za-z0-9._-]*$,maxLength=40"`
	Edition int              `yaml:"edition" jsonschema:"minimum=1"`
	Title   string           `yaml:"title"`
	Limits  map[string]Limit `yaml:"limits,omitempty"`  // figures that rules may use as limits.name
	Joints  map[string]Joint `yaml:"joints,omitempty"`  // joints that rules may use as corner.joints.name
	Presets []Preset         `yaml:"presets,omitempty"` // what parts have as a rule
	// BleedOrder is the order of bleeding by the maker's data. Without it the
	// corner farthest from the master cylinder comes first.
	BleedOrder []journal.Corner `yaml:"bleed_order,omitempty" jsonschema:"enum=LF,enum=RF,enum=LR,enum=RR"`
	Stages     []Stage          `yaml:"stages" jsonschema:"minItems=1"`
	FollowUps  []Promise        `yaml:"follow_ups,omitempty"`
	// PIN names what whoever stamps it confirms with something that only they know: at a
	// bench a PIN, at the desk the passphrase with which they signed in.
	PIN []journal.Duty `yaml:"pin,omitempty" jsonschema:"enum=second check,enum=waive,enum=release"`

	text string
}

// AsksPIN reports whether the card wants stamps of a kind confirmed.
func (c *Card) AsksPIN(kind journal.Kind) bool {
	duty := kind.Confirms()
	return duty != "" && slices.Contains(c.PIN, duty)
}

// Sources explains what a source may be that is not a page.
const Sources = "“Shop default” is common practice in the trade, without a published source; the shop can change it on a card of its own. Where a standard is named, its own text comes first. The maker’s data come before both."

// ByDefault reports whether a source is the shop's default, alone or beside another one, so
// that Sources has to explain it.
func ByDefault(source string) bool { return strings.Contains(source, sheet.ShopDefault) }

// Joint is a joint by the names that entries give it. Case and a plural s do
// not matter.
type Joint struct {
	Names []string `yaml:"names" jsonschema:"minItems=1"`
	// Of is the part whose removing or refitting loosens the joint.
	Of string `yaml:"of,omitempty"`
	// Beside names the parts to which that part is held there: nobody gets them
	// off or on without loosening the joint.
	Beside []string `yaml:"beside,omitempty"`
	// Hydraulic joints are loosened when the line of their corner is opened.
	Hydraulic bool `yaml:"hydraulic,omitempty"`
	Bolts     int  `yaml:"bolts,omitempty" jsonschema:"minimum=1"` // how many it has; 1 if not given
}

// Level is what a stage is about.
type Level string

// The levels, from the large to the small.
const (
	OnVehicle Level = "vehicle"
	OnCorner  Level = "corner" // each of LF, RF, LR and RR that the job touches
	OnPart    Level = "part"
)

func levels() []Level { return []Level{OnVehicle, OnCorner, OnPart} }

// Around returns what a thing of the job lies in on the level: itself where
// that is not wider.
func (l Level) Around(s journal.Subject) journal.Subject {
	switch l {
	case OnVehicle:
		return journal.About(s.Job(), "", "")
	case OnCorner:
		return journal.About(s.Job(), s.Corner(), "")
	}
	return s
}

// Stage is one stage of the work.
type Stage struct {
	Name  string `yaml:"name" jsonschema:"pattern=^[a-z][a-z0-9_-]*$"`
	Title string `yaml:"title"`
	Level Level  `yaml:"level" jsonschema:"enum=vehicle,enum=corner,enum=part"`
	// Parts names the parts that the stage is for; empty means all. The name
	// caliper stands for caliper-2 and caliper.inner too.
	Parts []string `yaml:"parts,omitempty"`
	// When says which of these the stage is for, by their facts; without it, all
	// of them.
	When string `yaml:"when,omitempty"`
	// After names the stages that come before. Without it that is the stage
	// written above; an empty list says that the stage waits for none.
	After    *[]string      `yaml:"after,omitempty"`
	Wants    []journal.Kind `yaml:"wants,omitempty"` // entries that the stage needs
	May      []journal.Kind `yaml:"may,omitempty"`   // entries that belong to it and are not always made
	Photos   []Picture      `yaml:"photos,omitempty"`
	Cautions []string       `yaml:"cautions,omitempty"`
	// OutOfSight says that from this stage on, what earlier stages wanted
	// photographed can be photographed no more.
	OutOfSight bool   `yaml:"out_of_sight,omitempty"`
	Holds      []Hold `yaml:"holds,omitempty"`

	when *rule
}

// Picture is a photograph that a stage wants.
type Picture struct {
	Shows string       `yaml:"shows"` // the role that the photograph is given
	On    journal.Kind `yaml:"on"`    // the kind of entry that it belongs to
	// For says that one photograph shows all parts of a corner, or all of the
	// vehicle; without it each thing of the stage has its own.
	For Level `yaml:"for,omitempty" jsonschema:"enum=vehicle,enum=corner"`
	// When says from when on it can be taken, and of which things, by their
	// facts; without it, always and of all.
	When string `yaml:"when,omitempty"`

	when *rule
}

// Class says what may be done about a hold that is not met.
type Class string

// The classes of hold points.
const (
	Safety  Class = "safety"  // can only be met
	Quality Class = "quality" // can be waived, with a reason, by someone with that duty
)

func classes() []Class { return []Class{Safety, Quality} }

// Hold is a hold point. Its rules are in CEL over the facts of the stage's
// level; [Vocabulary] lists them.
type Hold struct {
	ID    journal.HoldID `yaml:"id" jsonschema:"pattern=^[a-z][a-z0-9._-]*$,maxLength=40"`
	Title string         `yaml:"title"`
	Class Class          `yaml:"class" jsonschema:"enum=safety,enum=quality"`
	// For says that the hold is asked once for all parts of a corner, or for all
	// of the vehicle. It is judged for each, and stands as the worst of them.
	For Level `yaml:"for,omitempty" jsonschema:"enum=vehicle,enum=corner"`
	// When says whom the hold concerns; without it, all of the stage.
	When string `yaml:"when,omitempty"`
	// Once says from when on the rule can be judged; until then the hold is
	// open. Without it that is the first entry that the rule rests on.
	Once   string `yaml:"once,omitempty"`
	Rule   string `yaml:"rule"`
	Reason string `yaml:"reason"`
	// Limit is what the figures are held against. {name} stands for the
	// figure of that name in the card's limits; see [Card.Say].
	Limit  string `yaml:"limit"`
	Source string `yaml:"source"`

	when, once, rule *rule
}

// Promise is something that was promised for the time after handover.
type Promise struct {
	Name  string `yaml:"name" jsonschema:"pattern=^[a-z][a-z0-9_-]*$"`
	Title string `yaml:"title"`
	Hours int    `yaml:"hours" jsonschema:"minimum=1"` // after handover, until it is due
	// KilometresFrom and KilometresTo say between which distances it is to be
	// done, if that matters.
	KilometresFrom int `yaml:"kilometres_from,omitempty" jsonschema:"minimum=1"`
	KilometresTo   int `yaml:"kilometres_to,omitempty" jsonschema:"minimum=1"`
	// Kept names the kinds of entry that keep the promise. A contact keeps it
	// if it reached the customer, names the promise or is about one of the words,
	// and says what was answered.
	Kept  []journal.Kind `yaml:"kept" jsonschema:"minItems=1"`
	Words []string       `yaml:"words,omitempty"`
	// About is what the customer is asked about, as it stands behind "asked about".
	About string `yaml:"about,omitempty"`
	// Answers are what a customer who is asked usually says, to be tapped.
	Answers []string `yaml:"answers,omitempty"`
	Source  string   `yaml:"source"`
}

// Text returns the card as it was written.
func (c *Card) Text() string { return c.text }

// Stage returns the stage of that name, or nil.
func (c *Card) Stage(name string) *Stage {
	for i := range c.Stages {
		if c.Stages[i].Name == name {
			return &c.Stages[i]
		}
	}
	return nil
}

// Hold returns the hold point of that id with its stage, or nil.
func (c *Card) Hold(id journal.HoldID) (*Stage, *Hold) {
	for i := range c.Stages {
		for j := range c.Stages[i].Holds {
			if h := &c.Stages[i].Holds[j]; h.ID == id {
				return &c.Stages[i], h
			}
		}
	}
	return nil, nil
}

// Before returns the names of the stages that come before the i-th.
func (c *Card) Before(i int) []string {
	switch s := &c.Stages[i]; {
	case s.After != nil:
		return *s.After
	case i > 0:
		return []string{c.Stages[i-1].Name}
	default:
		return nil
	}
}

// Takes reports whether the stage is for a part of that name.
func (s *Stage) Takes(part string) bool {
	return len(s.Parts) == 0 || slices.Contains(s.Parts, part)
}

// Stands reports whether the stage is for things of a subject's kind: the vehicle, a
// corner, or such a part.
func (s *Stage) Stands(about journal.Subject) bool {
	switch s.Level {
	case OnVehicle:
		return about.Corner() == ""
	case OnCorner:
		return about.Corner() != "" && about.Part() == ""
	}
	return about.Part() != "" && s.Takes(Base(about.Part()))
}

// Wants reports whether a stage of the card wants entries of a kind.
func (c *Card) Wants(k journal.Kind) bool {
	return slices.ContainsFunc(c.Stages, func(s Stage) bool { return slices.Contains(s.Wants, k) })
}

// Kinds are those of its entries, and what may be written at any stage: damage shows
// when it shows, and a photograph or a remark is always welcome.
func (s *Stage) Kinds() []journal.Kind {
	list := slices.Concat(s.Wants, s.May)
	for _, k := range []journal.Kind{journal.ConditionFound, journal.ConditionDecided, journal.PhotoTaken, journal.NoteMade} {
		if !slices.Contains(list, k) {
			list = append(list, k)
		}
	}
	return list
}

// Base returns the kind of part that a part's name says: caliper of
// caliper-2.
func Base(part journal.PartID) string {
	name := string(part)
	if i := strings.IndexAny(name, "-._"); i > 0 {
		return name[:i]
	}
	return name
}

// Joint returns which of the card's joints a name means, or "".
func (c *Card) Joint(text string) string {
	for key, j := range c.Joints {
		for _, n := range j.Names {
			if journal.Called(n) == journal.Called(text) {
				return key // no name stands on two joints
			}
		}
	}
	return ""
}

// PartNames are the parts that the card speaks of, in the order in which it
// does: those that stages are for and those that joints hold.
func (c *Card) PartNames() []journal.PartID {
	var names []journal.PartID
	add := func(name string) {
		if id := journal.PartID(name); name != "" && !slices.Contains(names, id) {
			names = append(names, id)
		}
	}
	for _, s := range c.Stages {
		for _, name := range s.Parts {
			add(name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(c.Joints)) {
		add(c.Joints[name].Of)
	}
	return names
}
