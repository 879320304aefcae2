package facts

import (
	"cmp"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Stay is what one job tells of a casting.
type Stay struct {
	Part      journal.Subject `json:"part"`
	Vehicle   string          `json:"vehicle"`
	Begun     journal.Stamp   `json:"begun,omitzero"`       // of the first entry
	Released  journal.Stamp   `json:"handed_back,omitzero"` // with this part on it
	Works     []*Work         `json:"works,omitempty"`
	Renewed   []Told          `json:"renewed,omitempty"`   // what went into it new
	Flaws     []Flaw          `json:"defects,omitempty"`   // of a coat that is not on record
	Is        string          `json:"is,omitzero"`         // refused, replaced or scrapped
	By        journal.EntryID `json:"by,omitzero"`         // which says so
	Instead   journal.Subject `json:"instead,omitzero"`    // the part that went in instead
	InsteadOf journal.Subject `json:"instead_of,omitzero"` // the part in whose place this one went in

	Job      *record.Job    `json:"-"`
	Record   *record.Part   `json:"-"`
	Pictures []*record.Line `json:"-"` // entries with photographs, in the order of replay
	heard    parts.Value    // days after handover at which it was heard of last
	found    []Flaw         // in this job, of whatever coat
}

// Work is the work for one coat of a casting, or work after which no powder went
// on.
type Work struct {
	Coat    int           `json:"coat,omitzero"` // of the casting's life on record, 0 without powder
	Begun   journal.Stamp `json:"begun"`
	States  []Statement   `json:"states,omitempty"`
	Heated  []Statement   `json:"heated,omitempty"` // a soak or a bake each
	Heat    *Statement    `json:"heat,omitzero"`    // of the casting by the end of it, nil if it was never hot
	Flaws   []Flaw        `json:"defects,omitempty"`
	minutes heatSum
	found   []found // of its coat, in whatever job
}

// Told is an entry with its sentence.
type Told struct {
	Entry journal.EntryID `json:"entry"`
	Says  string          `json:"says"`
}

// Flaw is a defect of a coat, with what was decided about it last.
type Flaw struct {
	Entry    journal.EntryID        `json:"entry"`
	Coat     int                    `json:"coat,omitzero"` // 0 of one that is not on record
	Defect   *journal.Defect        `json:"defect"`
	Decision journal.ReworkDecision `json:"decision,omitzero"`
	Decided  journal.EntryID        `json:"decided,omitzero"`
	Line     *record.Line           `json:"-"`
}

// Stay returns what a job tells of one of its parts; nil if it tells nothing.
func (s *Stock) Stay(job *record.Job, part journal.Subject) *Stay {
	w := newJob(nil, job, s)
	stay := &Stay{Part: part, Vehicle: job.Name(), Job: job}
	if stay.Record, _ = job.Part(part); stay.Record == nil {
		return nil
	}
	for _, l := range stay.Record.Timeline() {
		if l.Effect() == nil {
			continue
		}
		if time.Time(stay.Begun).IsZero() {
			stay.Begun = l.Clocks.Device
		}
		if len(l.Photos) > 0 {
			stay.Pictures = append(stay.Pictures, l)
		}
	}
	for _, c := range w.corners {
		for _, p := range slices.Concat(c.parts, c.gone) {
			if p.part == stay.Record {
				w.stay(stay, p)
			}
		}
	}
	return stay
}

// stay says what was done to a part in a job.
func (w *Job) stay(s *Stay, p *partWork) {
	if back := w.job.Released; back != nil && p.ruled == nil {
		s.Released, s.heard = back.Clocks.Device, w.followed(p, back)
	}
	coats := p.coatsOn()
	starts := p.cycles()
	for i, from := range starts {
		to := len(p.events)
		if i+1 < len(starts) {
			to = starts[i+1]
		}
		if from == to {
			continue
		}
		work := &Work{Begun: p.events[from].Line.Clocks.Device}
		for _, run := range w.heated(p.part.Subject, p.events[from:to]) {
			work.minutes.add(run)
			work.Heated = append(work.Heated, w.stock.ranHot(p.part.Subject, run))
		}
		if n := slices.IndexFunc(coats, func(c coatOn) bool { return c.begins == from }); n >= 0 {
			work.Coat, work.found = 1, w.defectsOf(p, coats[n])
			work.States = w.coatSays(coats[n])
		} else {
			work.States = p.bareSays(p.events[from:to], w.stock.Writing())
		}
		if work.Coat+len(work.States)+len(work.Heated) > 0 { // it has to do with a coat
			s.Works = append(s.Works, work)
		}
	}
	for _, e := range p.events {
		if is[journal.Rebuild](e) {
			s.Renewed = append(s.Renewed, Told{e.Line.ID, cmp.Or(e.Line.Now(), e.Line.Says())})
		}
	}
	s.found = w.flaws(p)
	if p.ruled != nil {
		s.Is, s.By = p.ruledAs, p.ruled.ID
	}
	for _, a := range p.corner.asides() {
		switch p.part.Subject {
		case a.Part:
			s.Instead = a.Instead
		case a.Instead:
			s.InsteadOf = a.Part
		}
	}
}

// coatSays states what is known of one coat, and what is not: of what comes before
// the powder only what did. Of one that is still worked on, what is not there yet is
// still to come.
func (w *Job) coatSays(c coatOn) (list []Statement) {
	p, bare := c.partWork, c.before()
	current := c.last && w.job.Released == nil && c.ruled == nil
	for _, area := range []struct {
		of     Quantity
		before func(journal.Payload) bool // nil of what comes with the powder or after it
		say    func(*Group)
	}{
		{Degreaser, isDegreasing, func(g *Group) { p.degrease(g) }},
		{BlastMedia, isBlasting, func(g *Group) { p.blast(g) }},
		{Soak, isSoaking, func(g *Group) { p.soak(g, w.stock.Units()) }},
		{Powder, nil, func(g *Group) { w.powder(p, g) }},
		{DewMargin, nil, func(g *Group) { p.dew(g, w.stock.Units()) }},
		{Schedule, nil, func(g *Group) { w.cure(p, g) }},
		{FilmMean, nil, func(g *Group) { w.film(p, g) }},
	} {
		g := &Group{About: p.part.Subject, in: w.stock.Writing()}
		if area.before == nil || slices.ContainsFunc(bare, func(e Event) bool { return area.before(e.Data) }) {
			area.say(g)
		}
		if !current {
			g.Pending = nil
		}
		said := g.All()
		if len(said) == 0 {
			said = append(said, Statement{About: g.About, Quantity: area.of, Met: NotKnown, Sure: NotProven, Because: NotOnRecord})
		}
		list = append(list, said...)
	}
	return list
}

// bareSays states how metal was prepared on which no powder went.
func (p *partWork) bareSays(events []Event, w words.Writing) []Statement {
	own := *p
	own.events, own.cycle = events, 0
	g := &Group{About: p.part.Subject, in: w}
	own.degrease(g)
	own.blast(g)
	g.Pending = nil
	return g.All()
}

// flaws are the defects that were found on a part in a job.
func (w *Job) flaws(p *partWork) (list []Flaw) {
	for _, e := range p.events {
		d, ok := e.Data.(*journal.Defect)
		if !ok {
			continue
		}
		f := Flaw{Entry: e.Line.ID, Defect: d, Line: e.Line}
		for _, e := range w.all {
			if r, ok := e.Data.(*journal.Rework); ok && r.Of == f.Entry { // the last decision holds
				f.Decision, f.Decided = r.Decision, e.Line.ID
			}
		}
		list = append(list, f)
	}
	return list
}
