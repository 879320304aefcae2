package record

import (
	"iter"
	"maps"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// Shop is everything that the entries tell. It is never changed after the
// fold and is safe for concurrent reading.
type Shop struct {
	ID      journal.ShopID // "" until shop.founded is here
	Name    string
	Founded *Line
	Units   unit.System    // in which it works, with how it writes: metric until another choice is here
	Naming  journal.Naming // of people on customers' papers: by initials until another choice is here
	Lines   []*Line        // about the shop itself

	People  []*Person
	Devices []*Device
	Tools   []*Tool
	Lots    []*Lot // those that were received, and those that were only used yet
	Fluids  []*Fluid
	Kits    []*Kit
	Specs   []*Spec
	Routes  []*Route
	Cards   []*Card

	Vehicles []*Vehicle // by key
	Jobs     []*Job     // by id, those too whose opening is not here yet
	Runs     []*Run     // by id
	Castings []*Casting // by name

	// Loose are lines that belong nowhere: bytes that are not an entry, and
	// subjects that only a newer fettlebook knows.
	Loose []*Line

	lines  []Line // all entries, in the order of replay
	ids    ids
	told   told // what people stated about the order
	jobs   map[journal.JobID]*Job
	runs   map[journal.RunID]*Run
	people map[journal.PersonID]*Person

	ends     map[journal.DeviceID]int64    // so many entries of a closed log count
	notes    map[journal.DeviceID]int64    // from this entry on a log cites
	parted   map[journal.DeviceID]int64    // so many entries all histories of a log have
	keys     map[journal.DeviceID][]string // with which the register enrolled devices
	usedAt   Uses                          // of all the shop, where this fold is of a part of it
	counting sync.Once
	used     map[journal.Subject][]used
}

// Writing is how the shop writes numbers and days.
func (s *Shop) Writing() words.Writing { return s.Units.Writing }

// Registered is a thing on the shop's register: what was last stated of it,
// nil if only others speak of it yet, and every line about it.
type Registered[ID ~string, P any] struct {
	ID     ID
	Stated *P
	Lines  []*Line
}

// The things on the register.
type (
	Tool  = Registered[journal.ToolID, journal.Tool]
	Lot   = Registered[journal.LotID, journal.PowderLot]
	Fluid = Registered[journal.FluidID, journal.FluidContainer]
	Kit   = Registered[journal.KitID, journal.Kit]
	Spec  = Registered[journal.SpecID, journal.TorqueSpec]
	Route = Registered[journal.RouteID, journal.RouteCard] // Stated is the edition published last
	Card  = Registered[journal.CardID, journal.CardWriting]
)

// Person is someone who works or worked here.
type Person struct {
	Registered[journal.PersonID, journal.Person]
	Retired bool
}

// Device is a tablet, or the hub itself.
type Device struct {
	Registered[journal.DeviceID, journal.Device]
	Revoked bool
	Forked  bool

	revocation *Line
}

// Job returns the job, or nil.
func (s *Shop) Job(id journal.JobID) *Job { return s.jobs[id] }

// Run returns the run, or nil.
func (s *Shop) Run(id journal.RunID) *Run { return s.runs[id] }

// Person returns who is on the register under a short name, or nil.
func (s *Shop) Person(id journal.PersonID) *Person { return s.people[id] }

// Initials returns what is pressed into the stamp of a person: the initials,
// or the person's name while the register is not here.
func (s *Shop) Initials(id journal.PersonID) string {
	if p := s.people[id]; p != nil && p.Stated != nil {
		return p.Stated.Initials
	}
	return string(id)
}

// DeviceName returns what a tablet or the hub is called in a sentence: by the
// name that the register has for it, else by its id.
func (s *Shop) DeviceName(id journal.DeviceID) string {
	for _, d := range s.Devices {
		if d.ID == id && d.Stated != nil {
			return "tablet " + d.Stated.Name
		}
	}
	if s.Founded != nil && s.Founded.Device == id {
		return "the hub"
	}
	return "device " + string(id)
}

// Line returns the lines with an id: none, one, or several after a fork.
func (s *Shop) Line(id journal.EntryID) []*Line { return slices.Collect(s.ids.named(id)) }

// Showing lists the lines that have a photograph, in the order of replay.
func (s *Shop) Showing(photo media.Ref) (list []*Line) {
	for l := range s.All() {
		if slices.ContainsFunc(l.Photos, func(p Photo) bool { return p.Ref == photo }) {
			list = append(list, l)
		}
	}
	return list
}

// All yields every readable line of the shop in the order of replay.
func (s *Shop) All() iter.Seq[*Line] {
	return func(yield func(*Line) bool) {
		for i := range s.lines {
			if !yield(&s.lines[i]) {
				return
			}
		}
	}
}

// byName returns the values of a register in the order of their names.
func byName[ID ~string, V any](m map[ID]V) []V {
	var list []V
	for _, id := range slices.Sorted(maps.Keys(m)) {
		list = append(list, m[id])
	}
	return list
}
