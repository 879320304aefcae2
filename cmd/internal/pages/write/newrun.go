package write

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// rack is what a run's page offers: cars with their parts.
type rack struct {
	Cars []car
	Bad  string // why the ticks cannot stand
	At   string // before the names of its fields, where the form is one of several
	Mark string // and behind their ids
}

// car is one job's parts.
type car struct {
	Job         journal.JobID
	Plate, Says string
	Turn, Other []hook // those whose turn it is, and the others
}

// Turns is how many cars have a part whose turn it is, and Waiting how many parts
// that are.
func (r *rack) Turns() (n int) {
	for _, c := range r.Cars {
		n += min(len(c.Turn), 1)
	}
	return n
}
func (r *rack) Waiting() (n int) {
	for _, c := range r.Cars {
		n += len(c.Turn)
	}
	return n
}

// Ready are the cars that have a part whose turn it is, or one that is ticked; Rest are
// the others, which are folded into one line.
func (r *rack) Ready() (list []car) {
	for _, c := range r.Cars {
		if c.ready() {
			list = append(list, c)
		}
	}
	return list
}
func (r *rack) Rest() (list []car) {
	for _, c := range r.Cars {
		if !c.ready() {
			list = append(list, c)
		}
	}
	return list
}

func (c car) ready() bool { return len(c.Turn) > 0 || c.OtherOn() }

// OtherOn reports whether a part is ticked whose turn it is not.
func (c car) OtherOn() bool { return slices.ContainsFunc(c.Other, func(h hook) bool { return h.On }) }

// hook is a part that can be hung.
type hook struct {
	Subject journal.Subject
	Place   string
	On      bool
}

// newRun is the page of one entry about many parts of many jobs.
func (w *Writer) newRun(rw http.ResponseWriter, r *http.Request) {
	hung := r.URL.Query()[partsName]
	t, no := w.runTask(r, w.Live.View(r.Context()), journal.Kind(r.PathValue("kind")), hung...)
	if no != nil {
		w.missing(rw, r, no.status, no.say)
		return
	}
	t.hung = hung
	w.serve(rw, r, t)
}

// runTask makes ready an entry about parts that are ticked; those that are hung already
// stand in it.
func (w *Writer) runTask(r *http.Request, s *live.Snapshot, kind journal.Kind, hung ...string) (*task, *refusal) {
	if !kind.Known() || !takesParts(kind) || !slices.Contains(kind.Places(), "run") {
		return nil, &refusal{http.StatusNotFound, "An entry of this kind is about one part or one car, not about a run of several."}
	}
	sheet, err := form.Of(kind)
	if err != nil {
		return nil, &refusal{http.StatusNotFound, words.Sentence(err.Error())}
	}
	if err := w.May(kind); err != nil {
		return nil, &refusal{http.StatusForbidden, words.Sentence(err.Error())}
	}
	sheet = sheet.In(s.Shop.Units)
	name, err := s.NewRun(kind.Step(), w.Device, w.Now(), w.Rand)
	if err != nil {
		return nil, &refusal{http.StatusInternalServerError, "No name could be drawn for the run. Try again."}
	}
	t := &task{kind: kind, subject: journal.Of("run", string(name)), path: "/run/new/" + string(kind), title: sheet.Title + " · several parts",
		sheet: sheet, snap: s, by: w.By(r), parts: new([]journal.Subject), start: form.Values{}, roles: runRoles(s, kind), rack: true,
		next: func(_ *live.Snapshot, about journal.Subject) string { return home(about) }}
	if l := last(s, kind, "", t.by); l != nil {
		if raw, err := journal.MarshalPayload(l.Effect()); err == nil {
			t.start = sheet.Reuse(sheet.Values(raw))
		}
	}
	if len(hung) > 0 {
		t.start[partsName] = hung
	}
	t.foresee(w.Now())
	return t, nil
}

func union(a, b []string) []string {
	for _, x := range b {
		if !slices.Contains(a, x) {
			a = append(a, x)
		}
	}
	return a
}

// runRoles are the pictures that the cards of the jobs on hand want with a kind.
func runRoles(s *live.Snapshot, kind journal.Kind) []string {
	var list []string
	for _, j := range s.Open(looked) {
		st := s.Standing(j.ID)
		if st == nil || st.Card == nil {
			continue
		}
		for _, stage := range st.Card.Stages {
			for _, pic := range stage.Photos {
				if pic.On == kind && !slices.Contains(list, pic.Shows) {
					list = append(list, pic.Shows)
				}
			}
		}
	}
	return list
}

// cars lists the parts of the jobs on hand that a run can take, those whose
// turn it is first.
func (t *task) cars(v form.Values) []car {
	ticked := chosen(v)
	var list []car
	for _, j := range t.snap.Open(live.Listed) {
		if c := t.car(j, ticked); len(c.Turn)+len(c.Other) > 0 {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b car) int { return cmp.Compare(min(len(b.Turn), 1), min(len(a.Turn), 1)) })
	return list
}

func (t *task) car(j *record.Job, ticked []journal.Subject) car {
	c := car{Job: j.ID, Plate: j.Name(), Says: looks(j)}
	turn := make(map[journal.Subject]bool)
	st := t.snap.Standing(j.ID)
	for _, row := range st.Rows {
		if row.Stage.Level != card.OnPart || !slices.Contains(slices.Concat(row.Stage.Wants, row.Stage.May), t.kind) {
			continue
		}
		for _, q := range row.Squares {
			turn[q.Subject] = turn[q.Subject] || q.Free && slices.Contains(q.Lacks, t.kind)
		}
	}
	for _, corner := range j.Corners {
		for _, p := range corner.Parts {
			h := hook{Subject: p.Subject, Place: pages.Place(p.Subject), On: slices.Contains(ticked, p.Subject)}
			if turn[p.Subject] {
				c.Turn = append(c.Turn, h)
			} else {
				c.Other = append(c.Other, h)
			}
		}
	}
	return c
}

// tick ticks all parts of a car whose turn it is, or all if it is none's. Without a
// car it ticks all parts whose turn it is, of whichever car: what lies on the rack.
func (t *task) tick(v form.Values, id journal.JobID) form.Values {
	if id == "" {
		for _, c := range t.cars(v) {
			for _, h := range c.Turn {
				v[partsName] = union(v[partsName], []string{string(h.Subject)})
			}
		}
		return v
	}
	j := t.snap.Job(id)
	if j == nil || t.snap.Standing(id) == nil {
		return v
	}
	c := t.car(j, nil)
	hooks := c.Turn
	if len(hooks) == 0 {
		hooks = c.Other
	}
	for _, h := range hooks {
		v[partsName] = union(v[partsName], []string{string(h.Subject)})
	}
	return v
}

// hang takes the ticked parts for those of the run.
func (t *task) hang(v form.Values) form.Problems {
	*t.parts = chosen(v)
	switch n := len(*t.parts); {
	case n == 0:
		return form.Problems{partsName: "No part is ticked. Tick those that are in it."}
	case n > journal.MaxParts:
		return form.Problems{partsName: fmt.Sprintf("%d parts are too many for one run. Take at most %d.", n, journal.MaxParts)}
	}
	for _, s := range *t.parts {
		if why := t.unhangable(s); why != "" {
			return form.Problems{partsName: why}
		}
	}
	return nil
}

// unhangable says why something that is ticked cannot be in a run that begins now, "" if it
// can. A page that was drawn long ago, or on which parts were read from their tags, may
// have what is not on hand any more.
func (t *task) unhangable(s journal.Subject) string {
	j := t.snap.Job(s.Job())
	switch {
	case j == nil || s.Part() == "":
		return "“" + string(s) + "” is not a part of a job that is here."
	case j.Released != nil:
		return fmt.Sprintf("%s was handed back on %s, so the %s is not here. Untick it.", j.Name(), j.Units().Writing.Day(time.Time(j.Released.Clocks.Device)), pages.Place(s))
	case !t.kind.Is(journal.PerCoat) || t.kind.Is(journal.EndsBake): // it may be in the oven, or comes out of it
		return ""
	}
	st := t.snap.Standing(j.ID)
	if st == nil {
		return ""
	}
	if run := st.Stock.InOven(st.Job, s); run != "" {
		return fmt.Sprintf("The %s of %s went into the oven in run %s, of which nothing more is written yet. Write there that it ended, or correct it there.", pages.Place(s), j.Name(), run)
	}
	return ""
}

func looks(j *record.Job) string {
	if j.Stated == nil {
		return ""
	}
	return strings.Join(slices.DeleteFunc([]string{j.Stated.Vehicle.Looks, j.Stated.Wish}, func(s string) bool { return s == "" }), " · ")
}
