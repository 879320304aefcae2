package facts

import (
	"math"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// found is a defect of a coat.
type found struct {
	line *record.Line
	*journal.Defect
}

// outcome says how a coat came out.
func (w *Job) outcome(r parts.Row, p *partWork, c coatOn) {
	list := w.defectsOf(p, c)
	back := w.job.Released
	on := c.last && back != nil && p.ruled == nil // the car was handed back with it
	if on {
		r.Put(parts.HandedBack, parts.On(time.Time(back.Clocks.Device)))
		r.Put(parts.DaysFollowed, w.followed(p, back))
	}
	looked := on || c.lookedAt(list)
	r.Put(parts.Looked, parts.Yes(looked))
	for _, look := range journal.Look("").Words() {
		if has := slices.ContainsFunc(list, func(f found) bool { return string(f.Looks) == look }); has || looked {
			r.Put(parts.Defect(look), parts.Yes(has))
		}
	}
	if again := slices.ContainsFunc(list, func(f found) bool { return w.recoats(f.line.ID) }); again || looked {
		r.Put(parts.Reworked, parts.Yes(again))
	}
	if len(list) == 0 {
		return
	}
	first := list[0]
	r.Put(parts.Seen, parts.Text(first.Seen))
	r.Put(parts.Face, parts.Text(first.Face))
	r.Put(parts.Entry, parts.Text(first.line.ID.String()))
	if best := first.best(); best != nil {
		r.Put(parts.Cause, parts.Text(best.Cause))
		r.Put(parts.CauseKnown, parts.Text(best.Sure))
	}
	r.Put(parts.FilmAtDefect, w.filmAt(c, first.Face))
	if late := slices.IndexFunc(list, func(f found) bool { return on && After(f.line, back) }); late >= 0 {
		r.Put(parts.DaysToDefect, parts.Num(daysSince(back, list[late].line)))
	}
}

// defectsOf are the defects of a coat that was put on, in order: those found in
// this job until the next coat, and if the part went out with it, those that
// were found when it came back.
func (w *Job) defectsOf(p *partWork, c coatOn) (list []found) {
	for _, e := range c.events {
		if d, ok := e.Data.(*journal.Defect); ok && !e.before(c.powder) {
			list = append(list, found{e.Line, d})
		}
	}
	if !c.last || w.job.Released == nil {
		return list
	}
	for _, later := range w.otherLives(p) {
		for _, e := range later.events {
			if is[journal.Coating](e) && After(e.Line, w.job.Released) {
				break // that is another coat
			}
			if d, ok := e.Data.(*journal.Defect); ok && d.Seen == journal.AfterHandover && After(e.Line, w.job.Released) && !w.coatedBetween(p, w.job.Released, e.Line) {
				list = append(list, found{e.Line, d})
			}
		}
	}
	slices.SortFunc(list, func(a, b found) int { return Compare(a.line, b.line) })
	return list
}

// coatedBetween reports whether the casting got another coat between two lines.
func (w *Job) coatedBetween(p *partWork, from, to *record.Line) bool {
	for _, o := range w.otherLives(p) {
		for _, e := range o.events {
			if is[journal.Coating](e) && After(e.Line, from) && Before(e.Line, to) {
				return true
			}
		}
	}
	return false
}

// lookedAt reports whether somebody had the baked coat before them: its film
// was read or tested, a defect was found on it, or it went back on.
func (c coatOn) lookedAt(list []found) bool {
	if len(c.bakes) == 0 {
		return false
	}
	if slices.ContainsFunc(list, func(f found) bool { return After(f.line, c.bakes[0].start.Line) }) {
		return true
	}
	return slices.ContainsFunc(c.events, func(e Event) bool {
		switch e.Data.(type) {
		case *journal.FilmReadings, *journal.Refitting, *journal.AdhesionTest, *journal.SolventRub:
			return e.after(&c.bakes[0].start)
		}
		return false
	})
}

// followed is how long after a handover the coat was last heard of: the
// customer was reached, or the casting was here again with the coat on.
func (w *Job) followed(p *partWork, back *record.Line) (days parts.Value) {
	heard := func(of *record.Line) {
		if since := daysSince(back, of); !days.Known() || since > days.Number() {
			days = parts.Num(since)
		}
	}
	for _, e := range w.vehicle {
		if d, ok := e.Data.(*journal.Contact); ok && d.Reached && After(e.Line, back) {
			heard(e.Line)
		}
	}
	for _, later := range w.otherLives(p) {
		for _, e := range later.events {
			if After(e.Line, back) && (is[journal.Blasting](e) || is[journal.Coating](e)) {
				break
			}
			if After(e.Line, back) && worked(e) && !w.coatedBetween(p, back, e.Line) {
				heard(e.Line)
			}
		}
	}
	return days
}

// daysSince is how many whole days passed after a handover.
func daysSince(back, of *record.Line) float64 {
	return math.Max(0, math.Floor(between(back, of).Hours()/24))
}

// best is the cause that somebody is surest of.
func (f found) best() (best *journal.Suspicion) {
	sure := []journal.HowSure{journal.CauseSuspected, journal.CauseSeen, journal.CauseTested}
	for i := range f.Causes {
		if s := &f.Causes[i]; best == nil || slices.Index(sure, s.Sure) > slices.Index(sure, best.Sure) {
			best = s
		}
	}
	return best
}

// recoats reports whether it was decided to strip and coat again because of a
// defect. The last decision holds.
func (w *Job) recoats(defect journal.EntryID) (so bool) {
	for _, e := range w.all {
		if d, ok := e.Data.(*journal.Rework); ok && d.Of == defect {
			so = d.Decision == journal.StripAndRecoat
		}
	}
	return so
}

// filmAt is the film where a defect is: the mean of the readings at the spot
// that has the defect's place in its name.
func (w *Job) filmAt(c coatOn, face string) parts.Value {
	result, _ := w.filmOf(c)
	for _, s := range result.Spots {
		if words.Squash(face) != "" && strings.Contains(words.Squash(s.Place), words.Squash(face)) {
			return parts.Num(rounded(s.Mean))
		}
	}
	return parts.Value{}
}
