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
		r.Put(parts.DaysFollowed, w.followed(back))
	}
	if c.lookedAt() || on || len(list) > 0 {
		r.Put(parts.Looked, parts.Yes(true))
		for _, look := range journal.Look("").Words() {
			r.Put(parts.Defect(look), parts.Yes(slices.ContainsFunc(list, func(f found) bool { return string(f.Looks) == look })))
		}
	} else {
		r.Put(parts.Looked, parts.Yes(false))
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
	r.Put(parts.Reworked, parts.Yes(slices.ContainsFunc(list, func(f found) bool { return w.recoats(f.line.ID) })))
	if late := slices.IndexFunc(list, func(f found) bool { return on && After(f.line, back) }); late >= 0 {
		days := between(back, list[late].line).Hours() / 24
		r.Put(parts.DaysToDefect, parts.Num(math.Max(0, math.Floor(days))))
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
			if d, ok := e.Data.(*journal.Defect); ok && After(e.Line, w.job.Released) && !w.coatedBetween(p, w.job.Released, e.Line) {
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
// was read or tested, it was unmasked or went back on.
func (c coatOn) lookedAt() bool {
	if len(c.bakes) == 0 {
		return false
	}
	return slices.ContainsFunc(c.events, func(e Event) bool {
		switch e.Data.(type) {
		case *journal.FilmReadings, *journal.Refitting, *journal.AdhesionTest, *journal.SolventRub:
			return e.after(&c.bakes[0].start)
		}
		return false
	})
}

// followed is how long after a handover somebody was last reached.
func (w *Job) followed(back *record.Line) (days parts.Value) {
	for _, e := range w.vehicle {
		if d, ok := e.Data.(*journal.Contact); ok && d.Reached && After(e.Line, back) {
			days = parts.Num(math.Max(0, math.Floor(between(back, e.Line).Hours()/24)))
		}
	}
	return days
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
		if strings.Contains(words.Squash(s.Place), words.Squash(face)) {
			return parts.Num(rounded(s.Mean))
		}
	}
	return parts.Value{}
}
