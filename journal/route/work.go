package route

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// work is a job's entries sorted to what they are about.
type work struct {
	card *Card
	job  *record.Job
	shop *record.Shop
	upTo journal.EntryID // later entries are not looked at; zero looks at all

	all     []event // in the order of replay
	vehicle []event // about the job as a whole
	corners []*cornerWork
	parts   []*partWork

	found  map[journal.EntryID]*partWork // the part that a defect is on
	uses   map[journal.ToolID][]use      // of torque tools in the whole shop; see usesOf
	judged map[judgement]judged          // traces that were looked at
	hot    map[journal.EntryID][]float64
	hydro  *hydraulics // see lines
}

// event is an entry that counts, with what counts of it.
type event struct {
	line *record.Line
	data journal.Payload
	at   int // place in work.all
}

type cornerWork struct {
	corner *record.Corner
	events []event // of the corner and its parts, without runs
	parts  []*partWork
}

// onVehicle reports whether the corner is one of the four of a vehicle.
func (c *cornerWork) onVehicle() bool {
	switch c.corner.Corner {
	case "LF", "RF", "LR", "RR":
		return true
	}
	return false
}

type partWork struct {
	part   *record.Part
	base   string
	corner *cornerWork
	events []event // with those of its runs
	cycle  int     // index in events of the first event of the coat that is on now
}

func newWork(card *Card, job *record.Job, shop *record.Shop, upTo journal.EntryID) *work {
	w := &work{card: card, job: job, shop: shop, upTo: upTo, found: make(map[journal.EntryID]*partWork)}
	corners := make(map[journal.Corner]*cornerWork)
	parts := make(map[journal.Subject]*partWork)
	for _, c := range job.Corners {
		corners[c.Corner] = &cornerWork{corner: c}
		for _, p := range c.Parts {
			parts[p.Subject] = &partWork{part: p, base: base(p.ID), corner: corners[c.Corner]}
		}
	}
	for i, l := range job.Timeline() {
		data := w.effect(l)
		if data == nil {
			continue
		}
		e := event{line: l, data: data, at: i}
		w.all = append(w.all, e)
		w.sort(e, corners, parts)
	}
	for _, c := range job.Corners {
		cw := corners[c.Corner]
		for _, p := range c.Parts {
			if pw := parts[p.Subject]; len(pw.events) > 0 {
				pw.findCycle()
				cw.parts = append(cw.parts, pw)
				w.parts = append(w.parts, pw)
			}
		}
		if len(cw.events) > 0 || len(cw.parts) > 0 || w.opened(c.Corner) {
			w.corners = append(w.corners, cw)
		}
	}
	return w
}

// opened reports whether the job was opened for the corner.
func (w *work) opened(c journal.Corner) bool {
	return w.job.Stated != nil && slices.Contains(w.job.Stated.Corners, c)
}

// sort hands an event to the vehicle, its corner, or its parts.
func (w *work) sort(e event, corners map[journal.Corner]*cornerWork, parts map[journal.Subject]*partWork) {
	subject := e.line.Subject
	switch d := e.data.(type) {
	case *journal.Defect:
		w.found[e.line.ID] = parts[subject]
	case *journal.Rework: // wherever it stands, it is about the part with the defect
		if p := w.found[d.Of]; p != nil && p.part.Subject != subject {
			p.events = append(p.events, e)
		}
	}
	switch {
	case strings.HasPrefix(string(subject), "run/"):
		rack := hung(e.data)
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
	for _, s := range hung(e.data) { // a rack on one part's entry names the others
		if p := parts[s]; p != nil && s != subject {
			p.events = append(p.events, e)
		}
	}
}

func hung(p journal.Payload) []journal.Subject {
	if rack, ok := p.(interface{ Hung() []journal.Subject }); ok {
		return rack.Hung()
	}
	return nil
}

// effect returns what counts of a line, as far as it was written by then.
func (w *work) effect(l *record.Line) journal.Payload {
	switch {
	case w.upTo.IsZero():
		return l.Effect()
	case compareIDs(l.ID, w.upTo) > 0:
		return nil
	case l.Struck != nil && compareIDs(l.Struck.At, w.upTo) > 0:
		return l.Payload
	default:
		return l.Effect()
	}
}

// findCycle finds where the coat begins that is on the part now: after the
// last decision to strip and recoat, or after the last bake that was followed
// by blasting.
func (p *partWork) findCycle() {
	bake := -1
	for i, e := range p.events {
		switch d := e.data.(type) {
		case *journal.BakeStart:
			bake = i
		case *journal.Blasting:
			if bake >= 0 {
				p.cycle, bake = afterBake(p.events, bake), -1
			}
		case *journal.Rework:
			if d.Decision == "strip and recoat" {
				p.cycle, bake = i, -1
			}
		}
	}
}

// afterBake returns the index of the first event after a bake that does not
// belong to the bake.
func afterBake(events []event, bake int) int {
	for i := bake + 1; i < len(events); i++ {
		switch events[i].data.(type) {
		case *journal.ProbeTrace, *journal.Cure, *journal.Cooling, *journal.Unmasking:
		default:
			return i
		}
	}
	return len(events)
}

// coat returns the events since the coat that is on now was begun.
func (p *partWork) coat() []event { return p.events[p.cycle:] }

// last returns the last event with data of that type before a place; nil if
// there is none.
func last[P any](events []event, before int) (*event, *P) {
	for i := len(events) - 1; i >= 0; i-- {
		if events[i].at >= before {
			continue
		}
		if d, ok := any(events[i].data).(*P); ok {
			return &events[i], d
		}
	}
	return nil, nil
}

// first returns the first event with data of that type after a place.
func first[P any](events []event, after int) (*event, *P) {
	for i := range events {
		if d, ok := any(events[i].data).(*P); ok && events[i].at > after {
			return &events[i], d
		}
	}
	return nil, nil
}

// ever is later than any place.
const ever = int(^uint(0) >> 1)

// lastOf returns the last event that the test wants; nil if there is none.
func lastOf(events []event, wanted func(event) bool) *event {
	for i := len(events) - 1; i >= 0; i-- {
		if wanted(events[i]) {
			return &events[i]
		}
	}
	return nil
}

// place returns where an event stands, or -1.
func (e *event) place() int {
	if e == nil {
		return -1
	}
	return e.at
}

func (e *event) record() *record.Line {
	if e == nil {
		return nil
	}
	return e.line
}

// heats reports whether an event put the part into heat.
func heats(e event) bool {
	switch e.data.(type) {
	case *journal.Soaking, *journal.BakeStart:
		return true
	}
	return false
}
