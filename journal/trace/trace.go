package trace

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// Trace is what a term leads to.
type Trace struct {
	Term  string   `json:"term"`
	Says  []string `json:"says,omitempty"` // sentences on how it was found
	Of    *Node    `json:"of,omitzero"`    // in the middle; nil if nothing fits, or several do
	Since *Node    `json:"since,omitzero"` // the check or survey from which on uses count
	// Left is what touched it, by time; Right the vehicles that share it, or what
	// is on the left, the last one first.
	Left    []*Node    `json:"left,omitempty"`
	Right   []*Vehicle `json:"right,omitempty"`
	Total   int        `json:"total"`             // vehicles that share it, with those that are left out on the right, which are jobs
	Cut     bool       `json:"cut,omitzero"`      // and earlier uses that were not looked at
	Choices []*Node    `json:"choices,omitempty"` // if several things fit
	// Untold says that somebody who works here is so called, which is all that may be
	// told.
	Untold bool `json:"untold,omitzero"`
	// Life is what is known over all jobs of the casting that is traced.
	Life *facts.Life `json:"life,omitzero"`
}

// Node is something that touched something.
type Node struct {
	Of    journal.Subject   `json:"of"`
	What  string            `json:"what"` // "run", "powder lot", "person", "air", …
	Name  string            `json:"name"`
	At    time.Time         `json:"at,omitzero"` // of the first entry
	Until time.Time         `json:"until,omitzero"`
	Known []string          `json:"known,omitempty"` // what was known of it then
	By    []journal.EntryID `json:"entries,omitempty"`
	// Shares is how many other vehicles share it; nil of what is not asked, as of
	// people.
	Shares *int `json:"shares,omitzero"`

	use *record.Line // the first entry
}

// Vehicle is a job that shares something.
type Vehicle struct {
	Job      journal.JobID     `json:"job"`
	Name     string            `json:"name"`
	Looks    string            `json:"looks,omitzero"`
	State    record.State      `json:"state"`
	Released journal.Stamp     `json:"on_the_road_since,omitzero"`
	Customer journal.CardID    `json:"customer,omitzero"`
	Parts    []journal.Subject `json:"parts,omitempty"`
	First    time.Time         `json:"first,omitzero"`
	Last     time.Time         `json:"last,omitzero"`
	Via      []journal.Subject `json:"via,omitempty"`   // what of the left it shares
	Tell     int               `json:"tell,omitzero"`   // things that the customer has to be told
	Holds    []Hold            `json:"holds,omitempty"` // that rest on it
	Unasked  bool              `json:"holds_not_asked,omitzero"`
}

// Hold is a hold point of a vehicle that rests on what is traced.
type Hold struct {
	Hold   journal.HoldID `json:"hold"`
	Title  string         `json:"title"`
	State  string         `json:"state"`
	Safety bool           `json:"safety,omitzero"`
	Times  int            `json:"times"` // for so many parts or corners, in this state
}

// OnRoad reports whether the vehicle was handed back.
func (v *Vehicle) OnRoad() bool { return v.State == record.HandedBack || v.State == record.Sealed }

// Where says where the vehicle is as far as is known, with its day as a shop writes it.
func (v *Vehicle) Where(w words.Writing) string {
	if v.OnRoad() {
		return "on the road since " + w.Day(time.Time(v.Released))
	}
	return words.Choose(v.State == record.Open, "in the shop", string(v.State))
}

// Of traces what a term finds.
func Of(s Shop, term string, o Options) *Trace {
	t := &Trace{Term: term}
	if of, ok := subject(term); !ok {
		t.find(s, o)
	} else if o.may(of) {
		t.Of = named(s, of)
	} else {
		t.Untold, t.Says = true, append(t.Says, notToldHere)
	}
	if t.Of == nil {
		return t
	}
	switch {
	case t.Of.Of.Job() != "":
		t.touched(s, o)
		if t.Of.Of.Part() != "" {
			t.Life = Life(s, t.Of.Of)
		}
	default:
		t.shares(s)
	}
	if !t.here(s) { // that nobody shares it would be said of something else
		t.Says = append(t.Says, fmt.Sprintf("Nothing here is called %s.", short(t.Term)))
		t.Of, t.Life = nil, nil
	}
	return t
}

// here reports whether anything is known of what is in the middle.
func (t *Trace) here(s Shop) bool {
	if len(t.Left)+len(t.Right) > 0 {
		return true
	}
	st := standing(s, t.Of.Of.Job())
	return st != nil && (t.Of.Of.Part() == "" || len(linesOf(st.Job, t.Of.Of)) > 0)
}

// notToldHere is said of somebody who works here, where that may not be traced.
const notToldHere = "What the work of one person touched is told at the desk only."

// may reports whether a thing may be traced.
func (o Options) may(of journal.Subject) bool { return o.People || of.Word() != "person" }

// subject reads a term that names a thing as entries do, as links of pages have
// it.
func subject(term string) (journal.Subject, bool) {
	of := journal.Subject(term)
	if of.Last() == "" || (of.Job() == "" && of.Run() == "" && of.Word() != "person" && !journal.OnShelf(of.Word())) {
		return "", false
	}
	return of, true
}

// shares lists what shares a thing, a run or somebody's work, and what the
// register says of it.
func (t *Trace) shares(s Shop) {
	is := s.Shared(t.Of.Of, nil)
	t.Cut, t.Total = is.Cut, vehicles(is.Jobs)
	if is.Since != nil {
		t.Since = entryNode(is.Since)
	}
	var asked []journal.JobID
	for _, j := range is.Jobs[:min(holdsOf, len(is.Jobs))] {
		asked = append(asked, j.Job)
	}
	stand := s.Standings(asked...)
	for i, j := range is.Jobs {
		v := vehicle(j)
		if i < len(stand) {
			v.holds(stand[i], t.Of.Of, j.By)
		} else {
			v.Unasked = true
		}
		t.Right = append(t.Right, v)
	}
	switch {
	case t.Of.Of.Run() != "":
		if len(is.Jobs) == 0 {
			return
		}
		if st := standing(s, is.Jobs[0].Job); st != nil {
			l := newLeft(st, t.Of.Of)
			for _, line := range runLines(st.Job, t.Of.Of.Run()) {
				l.take(line)
			}
			t.Left = l.sorted()
		}
	default:
		for _, line := range s.Stock().Lines(t.Of.Of) {
			if line.Effect() != nil {
				t.Left = append(t.Left, entryNode(line))
			}
		}
	}
}

// touched lists what touched a part or a vehicle, and who else shares any of it.
func (t *Trace) touched(s Shop, o Options) {
	st := standing(s, t.Of.Of.Job())
	if st == nil {
		return
	}
	l := newLeft(st, t.Of.Of)
	for _, line := range linesOf(st.Job, t.Of.Of) {
		l.take(line)
	}
	t.Left = l.sorted()
	by := make(map[journal.JobID]*Vehicle)
	var all []shop.SharedJob
	asked := 0
	for _, n := range t.Left {
		if n.Of == "" || n.Of.Word() == "person" || asked >= cmp.Or(o.Wide, wide) {
			continue
		}
		asked++
		is := s.Shared(n.Of, n.use)
		is.Jobs = slices.DeleteFunc(is.Jobs, func(j shop.SharedJob) bool { return same(j, st.Job) })
		others := vehicles(is.Jobs)
		for _, j := range is.Jobs {
			if by[j.Job] == nil {
				by[j.Job] = vehicle(j)
				t.Right = append(t.Right, by[j.Job])
			}
			by[j.Job].Via = append(by[j.Job].Via, n.Of)
			all = append(all, j)
		}
		n.Shares = &others
	}
	t.Total = vehicles(all)
	slices.SortStableFunc(t.Right, func(a, b *Vehicle) int { return cmp.Or(len(b.Via)-len(a.Via), b.Last.Compare(a.Last)) })
	t.Right = t.Right[:min(len(t.Right), otherOnes)]
}

// same reports whether a job is of the vehicle of another.
func same(j shop.SharedJob, as *record.Job) bool {
	return j.Job == as.ID || j.Vehicle != "" && as.Vehicle != nil && j.Vehicle == as.Vehicle.Key
}

// vehicles counts the vehicles of jobs; of what is not known to be the same,
// each is one.
func vehicles(jobs []shop.SharedJob) int {
	seen := make(map[string]bool)
	for _, j := range jobs {
		seen[cmp.Or(string(j.Vehicle), string(j.Job))] = true
	}
	return len(seen)
}

func vehicle(j shop.SharedJob) *Vehicle {
	return &Vehicle{Job: j.Job, Name: j.Name(), Looks: j.Looks, State: j.State, Released: j.Released, Customer: j.Customer, Parts: j.Of, First: j.First, Last: j.Last, Tell: j.Recalls}
}

// holds finds the hold points of the vehicle that rest on uses of a thing.
func (v *Vehicle) holds(st *shop.Standing, of journal.Subject, by []journal.EntryID) {
	if st == nil {
		return
	}
	if run := of.Run(); run != "" {
		by = nil
		for _, l := range runLines(st.Job, run) {
			by = append(by, l.ID)
		}
	}
	for verdict := range st.Each() {
		if !slices.ContainsFunc(verdict.Entries, func(id journal.EntryID) bool { return slices.Contains(by, id) }) {
			continue
		}
		h := Hold{Hold: verdict.Hold, Title: verdict.Title, State: string(verdict.State), Safety: verdict.Class == card.Safety, Times: 1}
		i := slices.IndexFunc(v.Holds, func(o Hold) bool { return o.Hold == h.Hold && o.State == h.State })
		if i >= 0 {
			v.Holds[i].Times++
			continue
		}
		v.Holds = append(v.Holds, h)
	}
}

func runLines(j *record.Job, id journal.RunID) []*record.Line {
	for _, c := range j.Corners {
		for _, p := range c.Parts {
			for _, r := range p.Runs {
				if r.ID == id {
					return r.Lines
				}
			}
		}
	}
	return nil
}
