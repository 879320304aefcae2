package record

import (
	"cmp"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// State says in a word how far a job is.
type State string

// The states of a job.
const (
	NotHere    State = "not opened here yet" // its opening is still on another tablet
	Struck     State = "opening struck out"
	Open       State = "open"
	HandedBack State = "handed back"
	Sealed     State = "sealed"
)

// Job is one stay of a vehicle in the shop.
type Job struct {
	ID      journal.JobID
	State   State
	Vehicle *Vehicle // nil until the job is opened here

	Opened   *Line // the opening that counts
	Stated   *journal.Job
	Customer *journal.Citation
	Erased   bool // the customer's card was erased
	Odometer unit.Distance
	Ready    journal.Date // the day by which it is promised, as promised last
	Warranty *journal.Warranty
	Promised *Line // that promised the day
	Released *Line // the first handover that counts
	Sealed   *Line // the first seal that counts

	Corners []*Corner // LF, RF, LR, RR, NC, then what only a newer fettlebook knows
	Lines   []*Line   // about the job as a whole

	shop     *Shop
	openings []*Line
}

// Name is what a job is called: the plate, else the VIN, else its id.
func (j *Job) Name() string {
	if j.Stated == nil {
		return string(j.ID)
	}
	return cmp.Or(j.Stated.Vehicle.Plate, j.Stated.Vehicle.VIN, string(j.ID))
}

// Units are those in which the shop works.
func (j *Job) Units() unit.System { return j.shop.Units }

// Reads is the last reading of the odometer as the shop writes it, "" without one.
func (j *Job) Reads() string { return j.Odometer.Written(j.Units().Writing) }

// Within returns the fold that the job is of.
func (j *Job) Within() *Shop { return j.shop }

// Looks is what the job's vehicle looks like, as typed.
func (j *Job) Looks() string {
	if j.Stated == nil {
		return ""
	}
	return j.Stated.Vehicle.Looks
}

// Corner is one corner of the vehicle in a job.
type Corner struct {
	Corner journal.Corner
	Job    *Job
	Parts  []*Part // by name
	Lines  []*Line // about the corner as a whole
}

// Part is a part in a job. As a casting it lives on; see [Casting].
type Part struct {
	ID      journal.PartID
	Subject journal.Subject
	Corner  *Corner
	Tag     string
	Number  string // the shop's own, in the metal
	Pattern string // the foundry's
	Mark    string // either of them, as earlier programs had it
	Metal   journal.Metal
	Casting *Casting // nil of what nobody could know again

	Lines  []*Line // about the part; see Timeline
	Runs   []*Run  // that it took part in
	Unhung []*Run  // whose naming of it was struck out

	tagged  *Line
	matched []*journal.CastingMatch // with lives of it
}

// Part returns a part of the job with its corner; nil if nothing tells of it.
func (j *Job) Part(of journal.Subject) (*Part, *Corner) {
	for _, c := range j.Corners {
		for _, p := range c.Parts {
			if p.Subject == of {
				return p, c
			}
		}
	}
	return nil, nil
}

// Timeline returns the lines of the job with those of its corners, parts and
// runs, in the order of replay.
func (j *Job) Timeline() []*Line {
	lines := slices.Clone(j.Lines)
	for _, c := range j.Corners {
		lines = append(lines, c.Lines...)
		for _, p := range c.Parts {
			lines = append(lines, p.Timeline()...)
		}
	}
	return merged(lines)
}

// Timeline returns the lines of the part with those of its runs, in the order
// of replay. Of a run that named it by mistake, only the struck lines that
// did are its business.
func (p *Part) Timeline() []*Line {
	lines := slices.Clone(p.Lines)
	for _, r := range p.Runs {
		lines = append(lines, r.Lines...)
	}
	for _, r := range p.Unhung {
		for _, l := range r.Lines {
			if slices.Contains(journal.Hung(l.Payload), p.Subject) {
				lines = append(lines, l)
			}
		}
	}
	return merged(lines)
}
