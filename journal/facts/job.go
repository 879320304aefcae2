package facts

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// Job is what the entries of a job amount to: the things that rules are about,
// with their facts. It is worked out once and not changed after that; its
// methods are not safe for concurrent use.
type Job struct {
	Vehicle *Site
	Corners []*Site // of those that the job touches: LF, RF, LR and RR
	Parts   []*Site // corner by corner

	card  *card.Card
	job   *record.Job
	shop  *record.Shop
	stock *Stock

	all     []Event // in the order of replay
	vehicle []Event // about the job as a whole
	corners []*cornerWork

	found  map[journal.EntryID]*partWork // the part that a defect is on
	judged map[judgement]judged          // traces that were looked at
	hot    map[journal.EntryID][]float64
	hydro  *hydraulics // see lines
}

// Event is an entry that counts, with what counts of it.
type Event struct {
	Line *record.Line
	Data journal.Payload
}

type cornerWork struct {
	corner *record.Corner
	events []Event // of the corner and its parts, without runs
	parts  []*partWork
	gone   []*partWork // that do not go back
}

// onVehicle reports whether the corner is one of the four of a vehicle.
func (c *cornerWork) onVehicle() bool { return slices.Contains(journal.OnVehicle(), c.corner.Corner) }

type partWork struct {
	part   *record.Part
	base   string
	corner *cornerWork
	events []Event // with those of its runs
	cycle  int     // index in events of the first event of the coat that is on now

	described *Event          // the last entry that states what the part has
	has       *journal.MakeUp // what it states, nil without one
	ruled     *record.Line    // the decision by which it does not go back, nil if it may
	ruledAs   string          // what it is by that: refused, replaced or scrapped
}

func newJob(by *card.Card, job *record.Job, stock *Stock) *Job {
	w := &Job{card: by, job: job, shop: stock.shop, stock: stock, found: make(map[journal.EntryID]*partWork)}
	corners := make(map[journal.Corner]*cornerWork)
	parts := make(map[journal.Subject]*partWork)
	for _, c := range job.Corners {
		corners[c.Corner] = &cornerWork{corner: c}
		for _, p := range c.Parts {
			parts[p.Subject] = &partWork{part: p, base: card.Base(p.ID), corner: corners[c.Corner]}
		}
	}
	for _, l := range job.Timeline() {
		data := w.stock.effect(l)
		if data == nil {
			continue
		}
		e := Event{l, data}
		w.all = append(w.all, e)
		w.sort(e, corners, parts)
	}
	for _, c := range job.Corners {
		cw := corners[c.Corner]
		for _, p := range c.Parts {
			if pw := parts[p.Subject]; slices.ContainsFunc(pw.events, worked) {
				pw.findCycle()
				pw.described, pw.has = last[journal.MakeUp](pw.events)
				cw.parts = append(cw.parts, pw)
			}
		}
		w.retire(cw)
		if len(cw.events) > 0 || len(cw.parts) > 0 || w.opened(c.Corner) {
			w.corners = append(w.corners, cw)
		}
	}
	return w
}

// worked reports whether an event says that a part was worked on. A bolt that
// was tightened at it, or a picture of it, does not: to get a bracket off, the
// caliper hangs aside and comes back.
func worked(e Event) bool {
	switch e.Data.(type) {
	case *journal.Torque, *journal.Snapshot, *journal.PhotoMarks, *journal.Remark, *journal.SecondCheck:
		return false
	}
	return true
}

// opened reports whether the job was opened for the corner.
func (w *Job) opened(c journal.Corner) bool {
	return w.job.Stated != nil && slices.Contains(w.job.Stated.Corners, c)
}

// sort hands an event to the vehicle, its corner, or its parts.
func (w *Job) sort(e Event, corners map[journal.Corner]*cornerWork, parts map[journal.Subject]*partWork) {
	subject := e.Line.Subject
	switch d := e.Data.(type) {
	case *journal.Defect:
		w.found[e.Line.ID] = parts[subject]
	case *journal.Rework: // wherever it stands, it is about the part with the defect
		if p := w.found[d.Of]; p != nil && p.part.Subject != subject {
			p.events = append(p.events, e)
		}
	}
	switch {
	case strings.HasPrefix(string(subject), "run/"):
		rack := journal.Hung(e.Data)
		if len(rack) == 0 {
			if r := w.shop.Run(subject.Run()); r != nil {
				rack = r.Parts
			}
		}
		for _, s := range rack {
			if p := parts[s]; p != nil {
				p.events = append(p.events, e)
			}
		}
		return
	case subject.Corner() == "":
		w.vehicle = append(w.vehicle, e)
		return
	}
	if c := corners[subject.Corner()]; c != nil {
		c.events = append(c.events, e)
	}
	if p := parts[subject]; p != nil {
		p.events = append(p.events, e)
	}
	for _, s := range journal.Hung(e.Data) { // a rack on one part's entry names the others
		if p := parts[s]; p != nil && s != subject {
			p.events = append(p.events, e)
		}
	}
}

// findCycle finds where the coat begins that is on the part now.
func (p *partWork) findCycle() {
	starts := p.cycles()
	p.cycle = starts[len(starts)-1]
}

// cycles returns where coats begin, the first at the beginning: after a decision
// to strip and recoat, or after a bake that was followed by blasting.
func (p *partWork) cycles() []int {
	starts := []int{0}
	bake := -1
	for i, e := range p.events {
		switch d := e.Data.(type) {
		case *journal.BakeStart:
			bake = i
		case *journal.Blasting:
			if bake >= 0 {
				starts, bake = append(starts, afterBake(p.events, bake)), -1
			}
		case *journal.Rework:
			if d.Decision == journal.StripAndRecoat {
				starts, bake = append(starts, i), -1
			}
		}
	}
	return starts
}

// coat returns the events since the coat that is on now was begun.
func (p *partWork) coat() []Event { return p.events[p.cycle:] }

// Events returns all entries of the job that count, in the order of replay.
func (w *Job) Events() []Event { return w.all }

// afterBake returns the index of the first event after a bake that does not
// belong to the bake.
func afterBake(events []Event, bake int) int {
	for i := bake + 1; i < len(events); i++ {
		if !events[i].is(journal.EndsBake) {
			return i
		}
	}
	return len(events)
}
