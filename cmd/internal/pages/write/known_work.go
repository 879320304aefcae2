package write

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// runOptions lists the runs of the subject, the newest first.
func runOptions(t *task) []form.Option {
	var list []form.Option
	for _, run := range slices.Backward(runsOf(t.snap, t.subject)) {
		o := form.Option{Value: string(run.ID), Say: strings.Join(run.What, ", ") + " " + string(run.ID)}
		if len(run.Lines) > 0 {
			o.Note = pages.When(time.Time(run.Lines[0].Clocks.Device), time.Time(run.Lines[len(run.Lines)-1].Clocks.Device), t.snap.Shop.Writing())
		}
		list = append(list, o)
	}
	return list
}

// partOptions lists the parts that a probe can be on: those of the run.
func partOptions(t *task, v form.Values) []form.Option {
	var parts []journal.Subject
	switch {
	case t.rack:
		parts = chosen(v)
		for _, car := range t.cars(v) {
			for _, h := range car.Turn {
				if !slices.Contains(parts, h.Subject) {
					parts = append(parts, h.Subject)
				}
			}
		}
	case t.parts != nil:
		parts = *t.parts
	default:
		for _, p := range partsOf(t.snap, t.subject) {
			parts = append(parts, p.Subject)
		}
	}
	var list []form.Option
	for _, s := range parts {
		o := form.Option{Value: string(s), Say: pages.Place(s)}
		if j := t.snap.Job(s.Job()); j != nil {
			o.Note = j.Name()
		}
		list = append(list, o)
	}
	return list
}

// lifeOptions lists parts of other jobs on which stands what stands on the part.
func lifeOptions(t *task) []form.Option {
	var list []form.Option
	for _, p := range partsOf(t.snap, t.subject) {
		for _, text := range []string{p.Number, p.Pattern, p.Mark} {
			if text == "" {
				continue
			}
			for _, m := range t.snap.Find(text, offered) {
				if m.Part == nil || !m.Whole || m.By == index.Tag || m.Job.Job == t.subject.Job() {
					continue
				}
				o := form.Option{Value: string(m.Part.Part), Say: m.Job.Name() + ": " + pages.Place(m.Part.Part), Note: m.By + " " + text}
				if !slices.ContainsFunc(list, func(other form.Option) bool { return other.Value == o.Value }) {
					list = append(list, o)
				}
			}
		}
	}
	return list
}

// photoOptions lists the photographs on which something can be marked: those
// of the entry that is corrected, or that is marked, and those taken with the form.
func (t *task) photoOptions(d draft.Draft) []form.Option {
	var list []form.Option
	add := func(ref media.Ref, shows string) {
		list = append(list, form.Option{Value: ref.String(), Say: fmt.Sprintf("photograph %d", len(list)+1), Note: shows})
	}
	entry := func(l *record.Line) {
		for _, p := range l.Photos {
			if p.Withdrawn.IsZero() {
				add(p.Ref, p.Role)
			}
		}
	}
	if t.kind == journal.PhotoMarked {
		if id, err := journal.ParseEntryID(t.typed(d).Get("of")); err == nil {
			for _, l := range t.snap.Line(id) {
				entry(l)
			}
		}
	}
	if t.of != nil {
		entry(t.of)
	}
	for _, p := range d.Photos {
		add(p.Ref, p.Role)
	}
	return list
}

// holdOptions lists the holds of the subject that can be waived.
func holdOptions(t *task) []form.Option {
	st := t.snap.Standing(t.subject.Job())
	if st == nil {
		return nil
	}
	var list []form.Option
	for _, v := range st.Verdicts.List {
		here := v.Subject == t.subject || slices.ContainsFunc(v.At, func(at journal.Subject) bool { return facts.Covers(t.subject, at) })
		if v.Class == card.Quality && (v.State == route.Open || v.State == route.Broken) && here {
			list = append(list, form.Option{Value: string(v.Hold), Say: v.Title, Note: string(v.State)})
		}
	}
	return list
}

// runsOf returns the runs that the parts of a subject took part in, in the
// order of their first lines.
func runsOf(s *live.Snapshot, about journal.Subject) []*record.Run {
	var list []*record.Run
	for _, p := range partsOf(s, about) {
		for _, run := range p.Runs {
			if !slices.Contains(list, run) {
				list = append(list, run)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b *record.Run) int {
		return cmp.Compare(a.Lines[0].ID.String(), b.Lines[0].ID.String())
	})
	return list
}

// partsOf returns the parts that a subject is or holds.
func partsOf(s *live.Snapshot, about journal.Subject) []*record.Part {
	var list []*record.Part
	if job := s.Job(about.Job()); job != nil {
		for _, c := range job.Corners {
			for _, p := range c.Parts {
				if (about.Corner() == "" || about.Corner() == c.Corner) && (about.Part() == "" || about.Part() == p.ID) {
					list = append(list, p)
				}
			}
		}
	}
	return list
}

// entries offers what an entry can refer to: what it answers, or the work of
// others that somebody looked at, in a shop of one also their own. The entry
// that a link names is among them however old it is, and whoever wrote it.
func (w *Writer) entries(t *task, k *form.Known, v form.Values) {
	if t.pair != nil {
		k.Entries[firstName] = t.pair.options(t.snap, w.Now())
		return
	}
	for _, f := range t.sheet.Fields {
		switch {
		case f.Control == form.Refer && t.kind == journal.ContactMade:
			k.Entries[f.Name] = recalls(t)
		case f.Control == form.Refer && t.kind == journal.InvestigationMade:
			k.Entries[f.Name] = w.investigations(t, strings.Join(v[f.Name], ""))
		case f.Control == form.Refer:
			k.Entries[f.Name] = w.referable(t, strings.Join(v[f.Name], ""))
		case f.Control == form.List && f.Cells[0].Control == form.Refer:
			k.Entries[f.Cells[0].Name] = w.referable(t, "")
		}
	}
}

// recalls are those of which the customer has to be told.
func recalls(t *task) []form.Option {
	var list []form.Option
	if job := t.snap.Job(t.subject.Job()); job != nil {
		for _, r := range route.OpenRecalls(job) {
			list = append(list, form.Option{Value: r.Recall.String(), Say: r.Title, Note: r.Say})
		}
	}
	return list
}

// investigations are those that one can go on with, wherever in the shop they
// stand: what is looked into about a job may go on with what was about a lot.
func (w *Writer) investigations(t *task, said string) []form.Option {
	var list []form.Option
	for _, l := range t.snap.Investigations() {
		i, ok := l.Effect().(*journal.Investigation)
		named := l.ID.String() == said
		if !ok || !named && len(list) >= offered {
			continue
		}
		o := form.Option{Value: l.ID.String(), Say: words.Capital(i.Matter), Note: words.Commas(pages.Place(l.Subject), t.snap.Shop.Initials(l.By), pages.When(time.Time(l.Clocks.Device), w.Now(), t.snap.Shop.Writing()))}
		list = append(list, o)
	}
	return list
}

func (w *Writer) referable(t *task, said string) []form.Option {
	job := t.snap.Job(t.subject.Job())
	if job == nil {
		return nil
	}
	answered, settled := t.kind.Answers(), settled(t, job)
	crew := t.snap.Stock().Crew(nil)
	ofOne := len(crew) == 1 && crew[0] == t.by
	var list []form.Option
	for _, l := range slices.Backward(job.Timeline()) {
		fits := l.Kind == answered
		switch {
		case t.kind == journal.InvestigationMade:
			fits = true
		case answered == "":
			fits = (l.By != t.by || ofOne) && l.Kind.Work() != ""
		}
		named := l.ID.String() == said
		if l.Effect() == nil || !named && (len(list) >= offered || !fits || settled[l.ID] || !facts.Covers(t.subject, l.Subject)) {
			continue
		}
		o := form.Option{Value: l.ID.String(), Say: pages.Place(l.Subject) + ": " + l.Says(),
			Note: t.snap.Shop.Initials(l.By) + ", " + pages.When(time.Time(l.Clocks.Device), w.Now(), t.snap.Shop.Writing())}
		switch {
		case t.kind != journal.SecondChecked || l.By != t.by:
		case ofOne:
			o.Note += "; your own work: " + lookAgain(facts.LookAgainIn(job, l, w.Now()))
		default:
			o.Note += "; your own work, so somebody else has to look"
		}
		list = append(list, o)
	}
	return list
}

// settled are the complaints that a decision is not asked for any more. One that
// somebody wants to decide anew is named by the link at its page.
func settled(t *task, job *record.Job) map[journal.EntryID]bool {
	is := make(map[journal.EntryID]bool)
	if t.kind != journal.ClaimDecided {
		return is
	}
	for _, c := range route.Claims(job) {
		is[c.Opened.ID] = !c.Open()
	}
	return is
}

// lookAgain says when own work may be looked at again.
func lookAgain(in time.Duration) string {
	if in == 0 {
		return "look at it again now, with a new photograph"
	}
	return fmt.Sprintf("look again in %s, with a new photograph", words.Count(int((in+time.Minute-1)/time.Minute), "minute"))
}
