package record

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
)

// Run is work on many parts at once: a blast, a soak, a coat, a bake.
type Run struct {
	ID    journal.RunID
	What  []string          // "degrease", "blast", "soak", "powder", "bake", "cool", "test"
	Parts []journal.Subject // in the order of naming
	Jobs  []*Job            // of the parts
	Lots  []journal.LotID   // of the powder that was put on
	Lines []*Line

	unhung []journal.Subject // named by struck lines only
}

// Casting is a piece of metal with its own life over jobs and years, told by
// the mark that is cast into it.
type Casting struct {
	Mark  string // as first written
	Parts []*Part
	Notes []string
}

// Timeline returns the lines of the casting over all jobs.
func (c *Casting) Timeline() []*Line {
	var lines []*Line
	for _, p := range c.Parts {
		lines = append(lines, p.Timeline()...)
	}
	return merged(lines)
}

// hung returns the parts that a payload names.
func hung(p journal.Payload) []journal.Subject {
	if rack, ok := p.(interface{ Hung() []journal.Subject }); ok {
		return rack.Hung()
	}
	return nil
}

func (f *folding) run(id journal.RunID) *Run {
	r := f.runs[id]
	if r == nil {
		r = &Run{ID: id}
		f.runs[id] = r
	}
	return r
}

// placeInRun takes a line of a run in. Its parts refer to the run; nothing is
// copied.
func (f *folding) placeInRun(r *Run, l *Line) {
	r.Lines = append(r.Lines, l)
	now := hung(l.Effect())
	for _, s := range now {
		if !slices.Contains(r.Parts, s) {
			r.Parts = append(r.Parts, s)
		}
	}
	for _, s := range hung(l.Payload) {
		if !slices.Contains(now, s) && !slices.Contains(r.unhung, s) {
			r.unhung = append(r.unhung, s)
		}
	}
	if p := l.Effect(); p != nil {
		if step := p.Kind().Step(); step != journal.NoStep && !slices.Contains(r.What, string(step)) {
			r.What = append(r.What, string(step))
		}
	}
	if lot := f.use(l); lot != "" && !slices.Contains(r.Lots, lot) {
		r.Lots = append(r.Lots, lot)
	}
}

// use notes the powder lot that a line used, so that it can be found before
// its own entry is here.
func (f *folding) use(l *Line) journal.LotID {
	p, ok := l.Effect().(*journal.Coating)
	if !ok {
		return ""
	}
	return on(f.lots, p.Lot).ID
}

// settleRun ties the run and its parts together.
func (f *folding) settleRun(r *Run) {
	for _, s := range r.Parts {
		p := f.part(s)
		p.Runs = append(p.Runs, r)
		if j := p.Corner.Job; !slices.Contains(r.Jobs, j) {
			r.Jobs = append(r.Jobs, j)
		}
	}
	for _, s := range r.unhung {
		if !slices.Contains(r.Parts, s) {
			p := f.part(s)
			p.Unhung = append(p.Unhung, r)
		}
	}
}

// cast adds a part to the casting with its mark.
func (f *folding) cast(mark string, p *Part) {
	c := f.castings[mark]
	if c == nil {
		c = new(Casting)
		f.castings[mark] = c
	}
	c.Parts = append(c.Parts, p)
	p.Casting = c
}

// settle orders the casting's parts by when they were tagged, and doubts a
// mark that stands on two parts at once.
func (c *Casting) settle() {
	slices.SortFunc(c.Parts, func(a, b *Part) int {
		return cmp.Or(replay(a.tagged, b.tagged), cmp.Compare(a.Subject, b.Subject))
	})
	c.Mark = c.Parts[0].Mark
	for i, p := range c.Parts {
		if slices.ContainsFunc(c.Parts[:i], func(q *Part) bool { return q.Corner.Job == p.Corner.Job }) {
			c.Notes = []string{fmt.Sprintf("two parts of one job bear the mark %s, so it may not tell one casting from another", c.Mark)}
		}
	}
}
