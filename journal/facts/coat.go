package facts

import (
	"cmp"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
)

// Coats returns a row of the parts table for each coat that was put on a part
// of a job, also on one that does not go back. Of a job of which nothing is here
// but runs there are none yet.
func (s *Stock) Coats(job *record.Job) (rows []parts.Row) {
	w := newJob(nil, job, s)
	if !slices.ContainsFunc(w.all, func(e Event) bool { return e.Line.Subject.Job() == job.ID }) {
		return nil
	}
	for _, c := range w.corners {
		for _, p := range slices.Concat(c.parts, c.gone) {
			for i, coat := range p.coatsOn() {
				rows = append(rows, w.coatRow(p, coat, i+1))
			}
		}
	}
	return rows
}

// coatOn is one coat of a part, from the first work for it to the last on it.
type coatOn struct {
	*partWork // with the events of this coat only
	powder    *Event
	sprayed   *journal.Coating // the first of it
	bakes     []bakeRun        // after the powder
	begins    int              // the index of its first event among the part's
	last      bool             // it is on the part at the end of the job
}

// coatsOn cuts the events of a part at its coats and leaves out work after
// which no powder went on.
func (p *partWork) coatsOn() (list []coatOn) {
	starts := p.cycles()
	for i, from := range starts {
		to := len(p.events)
		if i+1 < len(starts) {
			to = starts[i+1]
		}
		own := *p
		own.events, own.cycle = p.events[from:to], 0
		powder, d := first[journal.Coating](own.events, nil)
		if powder == nil {
			continue
		}
		c := coatOn{partWork: &own, powder: powder, sprayed: d, begins: from, last: i == len(starts)-1}
		for _, b := range bakesIn(own.events) {
			if !b.start.before(powder) {
				c.bakes = append(c.bakes, b)
			}
		}
		list = append(list, c)
	}
	return list
}

// coatRow says of one coat all that may have had a part in how it came out, and
// how it came out.
func (w *Job) coatRow(p *partWork, c coatOn, n int) parts.Row {
	r := parts.NewRow(p.part.Subject, n)
	r.Put(parts.Date, parts.On(time.Time(c.powder.Line.Clocks.Device)))
	r.Put(parts.Casting, parts.Text(cmp.Or(p.part.Number, p.part.Mark)))
	w.castingFactors(r, p, c)
	w.prepFactors(r, c)
	w.powderFactors(r, c)
	w.bakeFactors(r, c)
	w.outcome(r, p, c)
	return r
}
