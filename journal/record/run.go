package record

import (
	"cmp"
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

// compare is the order in which runs began.
func (r *Run) compare(to *Run) int {
	if len(r.Lines) == 0 || len(to.Lines) == 0 {
		return cmp.Compare(len(r.Lines), len(to.Lines))
	}
	return r.Lines[0].Compare(to.Lines[0])
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
	now := journal.Hung(l.Effect())
	for _, s := range now {
		if !slices.Contains(r.Parts, s) {
			r.Parts = append(r.Parts, s)
		}
	}
	for _, s := range journal.Hung(l.Payload) {
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
