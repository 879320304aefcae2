package shop

import (
	"cmp"
	"math"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
)

// Shared is what shares a thing, a run, a person's work or a casting, out of
// summaries and the index.
type Shared struct {
	Of    journal.Subject
	Since *record.Line // of a tool, its last good check or survey: earlier uses are left out
	Jobs  []SharedJob  // in the order of their last use, the last one first
	Cut   bool         // there are earlier uses
}

// SharedJob is a job that shares a thing.
type SharedJob struct {
	Summary
	Of          []journal.Subject // its parts that do
	By          []journal.EntryID // the entries
	First, Last time.Time         // of the uses, by the clocks of their devices
}

// mostShared is how many entries are looked at.
const mostShared = 5000

// Shared returns what shares a thing of the register, a run, a person's work,
// a part's casting or a vehicle. What is asked of a tool because of a use of it is
// who shares it between the good checks before and after that.
func (v *View) Shared(of journal.Subject, use *record.Line) *Shared {
	s := &sharing{use: use, Shared: &Shared{Of: of}, view: v, jobs: make(map[journal.JobID]*SharedJob), runs: make(map[journal.Subject]*runSummary)}
	switch {
	case of.Part() != "":
		s.casting()
	case of.Job() != "":
		s.vehicle()
	case of.Run() != "":
		s.run(of, journal.EntryID{}, time.Time{})
	case of.Word() == "person":
		s.person()
	default:
		s.thing()
	}
	for _, j := range s.jobs {
		s.Jobs = append(s.Jobs, *j)
	}
	slices.SortFunc(s.Jobs, func(a, b SharedJob) int {
		return cmp.Or(b.Last.Compare(a.Last), time.Time(b.Opened).Compare(time.Time(a.Opened)), cmp.Compare(a.Job, b.Job))
	})
	return s.Shared
}

type sharing struct {
	*Shared
	view *View
	use  *record.Line
	jobs map[journal.JobID]*SharedJob
	runs map[journal.Subject]*runSummary
}

// thing finds what a thing of the register was used for, a tool since it was
// last found good.
func (s *sharing) thing() {
	after, upto := uint64(0), uint64(math.MaxUint64)
	stock := s.view.Stock()
	from, to := stock.Spell(s.Of, s.use)
	if s.Since = from; from != nil { // a survey may be written down days after it was made
		after = min(from.Place(), max(1, uint64(stock.Counts(from).UnixMilli())<<12)-1)
	}
	if to != nil {
		upto = to.Place()
	}
	rows, err := s.view.shop.index.UsingSince(s.view.ctx, s.Of, after, upto, mostShared+1)
	s.view.note(err)
	s.take(rows)
}

// person finds the last work of somebody.
func (s *sharing) person() {
	rows, err := s.view.shop.index.CitingLately(s.view.ctx, s.Of, mostShared+1)
	s.view.note(err)
	s.take(slices.DeleteFunc(rows, func(r index.Row) bool { return journal.Of("person", string(r.By)) != s.Of }))
}

// casting finds the other lives of a part's casting.
func (s *sharing) casting() {
	j := s.view.Job(s.Of.Job())
	if j == nil {
		return
	}
	p, _ := j.Part(s.Of)
	if p == nil || p.Casting == nil {
		return
	}
	for _, life := range p.Casting.Parts {
		s.put(life.Subject, journal.EntryID{}, time.Time{})
	}
}

// vehicle finds the other jobs of a job's vehicle.
func (s *sharing) vehicle() {
	j := s.view.Job(s.Of.Job())
	if j == nil || j.Vehicle == nil {
		return
	}
	for _, other := range j.Vehicle.Jobs {
		s.put(journal.About(other.ID, "", ""), journal.EntryID{}, time.Time{})
	}
}

func (s *sharing) take(rows []index.Row) {
	if s.Cut = len(rows) > mostShared; s.Cut {
		rows = rows[len(rows)-mostShared:]
	}
	var loose []index.Row
	for _, r := range rows {
		switch {
		case r.Waiting:
		case r.Home.Run() != "":
			s.run(r.Home, r.ID, r.ID.Time())
		case r.Home.Job() != "":
			loose = append(loose, r)
		}
	}
	list, err := s.view.shop.read(s.view.ctx, loose)
	s.view.note(err)
	for _, d := range list {
		if e := d.Entry(); e != nil {
			s.put(e.Subject, e.ID, time.Time(e.Time))
		}
	}
}

// run takes the parts of a run that one of its entries is about, or all.
func (s *sharing) run(home journal.Subject, by journal.EntryID, at time.Time) {
	is := s.runs[home]
	if is == nil {
		is = s.view.runSummary(home)
		s.runs[home] = is
	}
	for _, part := range is.about(by) {
		s.put(part, by, cmp.Or(at, is.Begun))
	}
}

func (s *sharing) put(of journal.Subject, by journal.EntryID, at time.Time) {
	j := s.jobs[of.Job()]
	if j == nil {
		is, ok := s.view.Summary(of.Job())
		if !ok {
			is = Summary{Job: of.Job(), State: record.NotHere}
		}
		j = &SharedJob{Summary: is, First: at, Last: at}
		s.jobs[of.Job()] = j
	}
	if of.Part() != "" && !slices.Contains(j.Of, of) {
		j.Of = append(j.Of, of)
	}
	if !by.IsZero() && !slices.Contains(j.By, by) {
		j.By = append(j.By, by)
	}
	if at.Before(j.First) {
		j.First = at
	}
	if at.After(j.Last) {
		j.Last = at
	}
}

// runSummary is what a summary keeps of a run: which parts are in it.
type runSummary struct {
	What  []string          `json:"what,omitempty"`
	Begun time.Time         `json:"begun,omitzero"`
	Parts []journal.Subject `json:"parts,omitempty"`
	Some  []runStep         `json:"some,omitempty"` // entries that are about some of them only
}

type runStep struct {
	Entry journal.EntryID   `json:"entry"`
	Parts []journal.Subject `json:"parts"`
}

func (r *runSummary) about(id journal.EntryID) []journal.Subject {
	for _, s := range r.Some {
		if s.Entry == id {
			return s.Parts
		}
	}
	return r.Parts
}

func runSummaryOf(run *record.Run) runSummary {
	s := runSummary{What: run.What, Parts: run.Parts}
	for _, l := range run.Lines {
		if s.Begun.IsZero() && l.Effect() != nil {
			s.Begun = time.Time(l.Clocks.Device)
		}
		if hung := journal.Hung(l.Effect()); len(hung) > 0 && len(hung) < len(run.Parts) {
			s.Some = append(s.Some, runStep{l.ID, hung})
		}
	}
	return s
}

func (v *View) runSummary(home journal.Subject) *runSummary {
	s := new(runSummary)
	row, ok, err := v.shop.index.Summary(v.ctx, home)
	v.note(err)
	if ok && len(row.Body) > 0 {
		v.note(json.Unmarshal(row.Body, s))
	}
	return s
}
