package write

import (
	"bytes"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// foresee chooses beforehand what the shop knows already. All of it stands in the form
// as an answer that can be changed. What is measured or counted is never among it.
func (t *task) foresee(now time.Time) {
	if t.start == nil {
		t.start = form.Values{}
	}
	switch t.kind {
	case journal.TorqueApplied:
		t.foreseeJoint(now)
	case journal.WheelFitted:
		t.foreseeWheel(now)
	case journal.LineConnected:
		if open := t.still(t.sheet.Field("at").Usual); len(open) == 1 {
			t.choose("at", open[0])
		}
	case journal.PowderApplied:
		t.foreseeCoat()
		t.foreseeLot(now)
	case journal.BakeStarted:
		t.foreseeProbes()
	case journal.ReservoirTopped, journal.BleedDone:
		t.foreseeFluid(now)
	case journal.FilmMeasured:
		t.onlyOne("gauge", "film gauge", now)
	}
	t.leaveUnfit(now)
}

// foreseeLook chooses the newest work that somebody else did, for a second person to look
// at. What they found is theirs to say.
func (w *Writer) foreseeLook(t *task) {
	if t.kind != journal.SecondChecked {
		return
	}
	for _, o := range w.referable(t, "") {
		if id, err := journal.ParseEntryID(o.Value); err == nil {
			if lines := t.snap.Line(id); len(lines) > 0 && lines[0].By != t.by {
				t.choose("of", o.Value)
				return
			}
		}
	}
}

// choose puts an answer into a field that has none yet.
func (t *task) choose(field, answer string) {
	if t.start.Get(field) == "" && answer != "" {
		t.start[field] = []string{answer}
	}
}

// leaveUnfit takes back what was used the last time and would prove nothing today: a
// tool, lot or container that is past its date, spent, or was found bad since.
func (t *task) leaveUnfit(now time.Time) {
	for _, f := range t.sheet.Fields {
		if id := t.start.Get(f.Name); f.Control == form.Pick && id != "" && !t.fit(f.Of, id, now) {
			delete(t.start, f.Name)
		}
	}
}

// fit reports whether a thing of the shelf may be offered for use.
func (t *task) fit(of, id string, now time.Time) bool {
	stock := t.snap.Stock()
	switch of {
	case "lot":
		lot := stock.LotAt(journal.LotID(id), now)
		return lot.Stated != nil && !lot.Due.Past()
	case "fluid":
		fluid := stock.FluidAt(journal.FluidID(id), now)
		return fluid.Stated != nil && !fluid.Due.Past()
	case "kit":
		kit, due := stock.KitAt(journal.KitID(id), now)
		return kit != nil && !due.Past()
	case "spec":
		spec, _ := stock.Spec(journal.SpecID(id))
		return spec != nil && t.owner(spec) != facts.OfOthers
	case "run", "hold", "part", "photo", "person", "second person", "other life":
		return true
	}
	is := stock.ToolNow(journal.ToolID(id), now)
	return is.Stated != nil && !is.Spent() && (is.Doubt == facts.NoDoubt || is.Doubt == facts.NeverChecked && of != "torque tool")
}

// onlyOne chooses the one tool of a kind that is on the shelf and fit.
func (t *task) onlyOne(field, of string, now time.Time) {
	var list []string
	for _, tool := range t.snap.Shop.Tools {
		if tool.Stated != nil && slices.Contains(toolNames(tool.Stated.What), of) && t.fit(of, string(tool.ID), now) {
			list = append(list, string(tool.ID))
		}
	}
	if len(list) == 1 {
		t.choose(field, list[0])
	}
}

// still are those of the places at which a line of the corner was opened where it is open.
func (t *task) still(opened []string) []string {
	st := t.snap.Standing(t.subject.Job())
	if st == nil || st.Card == nil {
		return nil
	}
	job := st.Stock.Job(st.Card, st.Job)
	return slices.DeleteFunc(slices.Clone(opened), func(at string) bool { return !job.LineOpen(t.subject.Corner(), at) })
}

// foreseeWheel chooses the step that comes next: full behind snug, and snug first of all.
// Which of them is done again only who stands there knows.
func (t *task) foreseeWheel(now time.Time) {
	var step journal.WheelStep
	if job := t.snap.Job(t.subject.Job()); job != nil {
		for _, l := range job.Timeline() {
			if d, ok := l.Effect().(*journal.WheelFit); ok && l.Subject == t.subject {
				step = d.Step
			}
		}
	}
	switch step {
	case "":
		t.choose("step", string(journal.WheelSnug))
	case journal.WheelSnug:
		t.choose("step", string(journal.WheelFull))
	}
	t.choose("spec", string(t.figureOf(facts.OfWheel)))
	t.choose("tool", string(t.toolOf(facts.OfWheel, now)))
	t.printed("torque", "nuts")
}

// foreseeFluid chooses the container that this job drew from last, or the only one that
// is open and within its date. Of two that are open only a person knows which is meant.
func (t *task) foreseeFluid(now time.Time) {
	var open []string
	for _, fluid := range t.snap.Shop.Fluids {
		if fluid.Stated != nil && t.fit("fluid", string(fluid.ID), now) {
			open = append(open, string(fluid.ID))
		}
	}
	if job := t.snap.Job(t.subject.Job()); job != nil {
		for _, l := range slices.Backward(job.Timeline()) {
			var id journal.FluidID
			switch d := l.Effect().(type) {
			case *journal.Reservoir:
				id = d.Fluid
			case *journal.Bleed:
				id = d.Fluid
			}
			if slices.Contains(open, string(id)) {
				t.choose("fluid", string(id))
				break
			}
		}
	}
	if len(open) == 1 {
		t.choose("fluid", open[0])
	}
	if t.kind == journal.BleedDone {
		t.choose("tool", string(t.toolOf(func(joint string) bool { return joint == bleederScrew }, now)))
	}
}

// newest yields what this job and the newest open ones say, from the newest on: that of
// whoever writes before that of others.
func (t *task) newest() (list []*record.Line) {
	jobs := t.snap.Open(looked)
	if own := t.snap.Job(t.subject.Job()); own != nil && !slices.ContainsFunc(jobs, func(j *record.Job) bool { return j.ID == own.ID }) {
		jobs = append(jobs, own)
	}
	for _, j := range jobs {
		list = append(list, j.Timeline()...)
	}
	slices.SortStableFunc(list, func(a, b *record.Line) int {
		if mine := (b.By == t.by); mine != (a.By == t.by) {
			if mine {
				return 1
			}
			return -1
		}
		return bytes.Compare(b.ID[:], a.ID[:])
	})
	return list
}
