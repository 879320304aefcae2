package write

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/card"
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
		if f := t.sheet.Field("at"); len(t.still(f.Usual)) == 1 {
			t.choose("at", t.still(f.Usual)[0])
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

// still are the places at which a line of the corner is open.
func (t *task) still(opened []string) []string {
	var list []string
	if job := t.snap.Job(t.subject.Job()); job != nil {
		for _, l := range job.Timeline() {
			if l.Subject != t.subject {
				continue
			}
			switch d := l.Effect().(type) {
			case *journal.LineOpening:
				list = append(slices.DeleteFunc(list, func(at string) bool { return at == d.At }), d.At)
			case *journal.LineConnection:
				list = slices.DeleteFunc(list, func(at string) bool { return at == d.At })
			}
		}
	}
	return slices.DeleteFunc(list, func(at string) bool { return !slices.Contains(opened, at) })
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

// foreseeCoat chooses the number of the coat: one more than are on the parts that are
// hung, if they agree.
func (t *task) foreseeCoat() {
	coats := -1
	for _, about := range chosen(t.start) {
		n, known := coatsOn(t.snap.Job(about.Job()), about)
		if !known || coats >= 0 && n != coats {
			return
		}
		coats = n
	}
	if coats >= 0 {
		t.choose("coat", strconv.Itoa(coats+1))
	}
}

// coatsOn is how many coats lie on a part. Whether a blast took them off or only roughened
// the last one is not known, so behind one nothing is.
func coatsOn(job *record.Job, about journal.Subject) (n int, known bool) {
	if job == nil {
		return 0, false
	}
	part, _ := job.Part(about)
	if part == nil {
		return 0, false
	}
	for _, l := range part.Timeline() {
		switch d := l.Effect().(type) {
		case *journal.Coating:
			n = max(n, d.Coat)
		case *journal.Blasting:
			if n > 0 {
				return 0, false
			}
		}
	}
	return n, true
}

// foreseeLot leaves the lot of the last time out where the customer wants the colour of
// another one.
func (t *task) foreseeLot(now time.Time) {
	own, _ := t.snap.Stock().Lot(journal.LotID(t.start.Get("lot")))
	for _, about := range chosen(t.start) {
		job := t.snap.Job(about.Job())
		if job == nil || job.Stated == nil || own == nil || names(job.Stated.Wish, own.Colour) {
			continue
		}
		for _, lot := range t.snap.Shop.Lots {
			if lot.Stated != nil && names(job.Stated.Wish, lot.Stated.Colour) && t.fit("lot", string(lot.ID), now) {
				delete(t.start, "lot")
				return
			}
		}
	}
}

func names(wish, colour string) bool {
	return colour != "" && strings.Contains(strings.ToLower(wish), strings.ToLower(colour))
}

// foreseeProbes hangs the recorder's channels where they were the last time: on the same
// part of the same corner, or on the one part of that name that is in this run.
func (t *task) foreseeProbes() {
	l := last(t.snap, t.kind, "", t.by)
	if l == nil {
		return
	}
	start, ok := l.Effect().(*journal.BakeStart)
	if !ok {
		return
	}
	hung := chosen(t.start)
	maps.DeleteFunc(t.start, func(name string, _ []string) bool { return strings.HasPrefix(name, "probes.") })
	n := 0
	for _, probe := range start.Probes {
		on, several := likePart(hung, probe.On)
		if probe.On != "" && on == "" && !several && len(hung) > 0 {
			continue // nothing in this run has its place
		}
		row := fmt.Sprintf("probes.%d.", n)
		t.choose(row+"channel", probe.Channel)
		t.choose(row+"place", probe.Place)
		t.choose(row+"on", string(on))
		n++
	}
}

// likePart is the part of a run that has the place of a part of another run. Where that may
// be any of several it is none of them.
func likePart(hung []journal.Subject, was journal.Subject) (is journal.Subject, several bool) {
	for _, about := range hung {
		switch {
		case card.Base(about.Part()) != card.Base(was.Part()):
		case about.Corner() == was.Corner():
			return about, false
		default:
			several = is != "" || several
			is = about
		}
	}
	if several {
		return "", true
	}
	return is, false
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
		return cmp.Compare(b.ID.String(), a.ID.String())
	})
	return list
}
