package invented

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"fettlebook/journal"
)

// Cause is what makes parts come out bad.
type Cause string

// The causes that can be planted.
const (
	Nothing    Cause = "nothing"
	OneLot     Cause = "one powder lot"
	CoolSoak   Cause = "soak cooler than the bake"
	OnePattern Cause = "one pattern"
	OneDay     Cause = "one day's air"
	OnePlace   Cause = "one place in the oven"
)

// Setting is what a plan is made for.
type Setting struct {
	Seed  uint64
	Parts int       // coats, about
	Begun time.Time // the first morning; in January of 2025 if it is none
	Days  int       // over which they are spread, counting all days; a year if 0
	Cause Cause
	Also  Cause // another one; none if empty
	// Mixed has something innocent go along with the cause: one person does most
	// of the parts that have it.
	Mixed bool
	// Revised is the day, counted from the first, on which an investigation leads
	// to another edition of the route card; none if 0.
	Revised int
}

// Plan is what happened in an invented shop.
type Plan struct {
	Setting
	Jobs []*Job
	Lots []Lot
	// MediaChanged and FilterChanged are the days of services, the first before
	// the first job.
	MediaChanged, FilterChanged []time.Time
	Planted                     []string // what makes parts come out bad, in words
}

// Lot is a powder lot.
type Lot struct {
	ID        journal.LotID
	Colour    string
	Chemistry journal.Chemistry
	Opened    time.Time
	FirstDay  int // on which it was sprayed
}

// Job is one car.
type Job struct {
	ID     journal.JobID
	Number int       // from 1, in the order in which they came
	Card   int       // the edition of the route card
	Day    time.Time // of the first powder, in the morning
	Back   time.Time // when it was handed back
	Coats  []*Coat
	Heard  int // days after handover at which the customer was reached; 0 if nobody was
}

// last is when the last car was handed back.
func (p *Plan) last() (at time.Time) {
	for _, j := range p.Jobs {
		if j.Back.After(at) {
			at = j.Back
		}
	}
	return at
}

// Corners are those that were worked on, each once.
func (j *Job) Corners() (list []journal.Corner) {
	for _, c := range j.Coats {
		if !slices.Contains(list, c.Corner) {
			list = append(list, c.Corner)
		}
	}
	return list
}

// days is when something was heard of the car so many days after it went back.
func (j *Job) days(n int) time.Time { return j.Back.AddDate(0, 0, n).Add(time.Hour) }

// axles is how many of them were worked on.
func (j *Job) axles() int {
	front := make(map[bool]bool)
	for _, c := range j.Corners() {
		front[c == journal.LeftFront || c == journal.RightFront] = true
	}
	return len(front)
}

// Coat is one coat of one part.
type Coat struct {
	Job     *Job
	Number  int       // of those of the part in this job, from 1
	Day     time.Time // in the morning
	Sprayed time.Time
	Corner  journal.Corner
	What    string
	Pattern string
	Metal   journal.Metal
	Casting string
	Brought bool // by the customer

	Degreaser    string
	Media        string
	Bar          float64
	MediaHours   float64
	BlastMinutes int // from blast to powder
	SoakMetal    int // °C
	SoakMinutes  int
	SoakToPowder int
	BakeMetal    int // °C that the bake made of the metal
	Lot          Lot
	Reclaimed    int
	Air          float64
	Humidity     int
	Metalled     float64 // °C of the part when sprayed
	Charge       int
	Earth        float64
	Person       journal.PersonID
	Rack, Hook   string
	Bake         int // number
	Oven, Place  string
	Film         float64
	Look         string // of its defect, "" if it has none
	Face         string
	LateDays     int  // after handover at which it showed; 0 if at the inspection
	Stripped     bool // for its defect, and coated again
	Planted      bool // it had the planted cause
	// Entry is the one that says what was found, once it was written.
	Entry journal.EntryID
}

// Part is what entries call the part.
func (c *Coat) Part() journal.Subject {
	return journal.About(c.Job.ID, c.Corner, journal.PartID(c.What))
}

// How often what happens.
const (
	usualRate   = 0.02  // of pinholes without a cause
	plantedRate = 0.4   // with it
	airRate     = 0.75  // on a day of wet air, which spares little
	otherRate   = 0.012 // of a badly flowing film, and of something in it
)

// Make makes a plan.
func Make(s Setting) *Plan {
	if s.Days == 0 {
		s.Days = 365
	}
	if s.Begun.IsZero() {
		s.Begun = time.Date(2025, 1, 6, 7, 30, 0, 0, time.UTC)
	}
	p := &Plan{Setting: s}
	m := &maker{plan: p, r: rand.New(rand.NewPCG(s.Seed, 0x66657474)), looks: rand.New(rand.NewPCG(s.Seed, 0x6c6f6f6b)), patterns: patterns()}
	m.supply()
	m.work()
	return p
}

// maker draws a plan.
type maker struct {
	plan     *Plan
	r        *rand.Rand
	looks    *rand.Rand // by itself, so that what is seen changes nothing else
	patterns []pattern
	bad      struct { // what the cause is about
		lot     journal.LotID
		pattern string
		day     int
		place   string
	}
	bakes, castings int
	out             []*Coat // that went out, and may come back
	again           []*Coat // stripped, to be coated on the next day of spraying
}

// pattern is a foundry's mark, with what bears it.
type pattern struct {
	mark  string
	what  string
	metal journal.Metal
	share int // how often it comes in
}

func patterns() []pattern {
	return []pattern{
		{"K17", "caliper", journal.Iron, 6}, {"K22", "caliper", journal.Iron, 4}, {"K31", "caliper", journal.Aluminium, 5}, {"K40", "caliper", journal.Aluminium, 3}, {"K52", "caliper", journal.Iron, 2},
		{"B05", "bracket", journal.Iron, 7}, {"B09", "bracket", journal.Iron, 4}, {"B14", "bracket", journal.Iron, 3}, {"B21", "bracket", journal.Aluminium, 2},
	}
}

func pick[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

// between draws a whole number from low to high, both included.
func (m *maker) between(low, high int) int { return low + m.r.IntN(high-low+1) }

// supply lays in powder and plans services.
func (m *maker) supply() {
	p := m.plan
	colours := []string{"signal red", "jet black", "silver grey", "traffic yellow", "gentian blue"}
	chemistries := []journal.Chemistry{journal.PolyesterTGIC, journal.PolyesterHAA, journal.EpoxyPolyester}
	for day, i := 0, 1; day < p.Days; i++ {
		p.Lots = append(p.Lots, Lot{
			ID: journal.LotID(fmt.Sprintf("L%03d", i)), Colour: colours[i%len(colours)], Chemistry: chemistries[i%len(chemistries)],
			Opened: p.Begun.AddDate(0, 0, day), FirstDay: day,
		})
		day += m.between(8, 20)
	}
	for day := -3; day < p.Days; day += m.between(18, 40) {
		p.MediaChanged = append(p.MediaChanged, p.Begun.AddDate(0, 0, day))
	}
	for day := -9; day < p.Days; day += m.between(40, 80) {
		p.FilterChanged = append(p.FilterChanged, p.Begun.AddDate(0, 0, day))
	}
}
