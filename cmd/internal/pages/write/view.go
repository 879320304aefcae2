package write

import (
	"cmp"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// formPage is a page on which one entry is written.
type formPage struct {
	Title    string
	Place    string
	Job      journal.JobID
	Plate    string
	Cautions []string
	Drive    string   // why the vehicle is not to be driven
	Closes   *closing // what the stage puts out of sight
	Ways     []way    // to the stages at which a vehicle is held that is to be handed back
	Named    []way    // to those that the record names then

	Form    *sheetView // nil where nothing is to be written
	At      string     // before the names of its fields, where it is one of several
	Kind    journal.Kind
	Action  string // where the form goes
	Token   string
	Drawn   string // what the page is drawn from
	Since   *sincePart
	Shutter *shutter
	worked
	Notice  string
	Run     string // the page that writes the entry for a whole run, where it has no form here
	Begun   bool   // that run is known: nothing has to be chosen
	Several string // the page of one entry about several parts
	Parts   int    // of the run that the entry is about
	Presets []role // with which it can be begun

	Drawings []drawing // on which the place of a defect is tapped

	Rack    *rack // of a run that begins
	Stage   *stagePart
	Correct *correctPart
	// Confirms is what whoever stamps shows beside the form; nil for nothing.
	Confirms *confirming
	Pair     *pairPart // of which somebody says which was first
}

// stagePart is what stands around the form on the page of a stage.
type stagePart struct {
	Kinds []link // what else belongs to the stage
	Done  []line
	Holds []hold
}

// hold is a hold point of the stage at the place.
type hold struct {
	route.Verdict
	Stamp pages.Stamp
	Place string
	Order *pages.Order // where it is settled, if it is in doubt
}

func newHold(v route.Verdict) hold {
	v.Why = words.Capital(v.Why)
	return hold{Verdict: v, Stamp: pages.Stamp{State: v.State}, Place: words.Capital(pages.Place(v.Subject)), Order: pages.OrderOf(v)}
}

// line is an entry as it stands on a page.
type line struct {
	*record.Line
	Stamp    pages.Stamp
	Place    string
	Initials string
	Correct  string
	Shots    []record.Photo
}

// correctPart is what a correction shows beside the form.
type correctPart struct {
	Was     line
	Reasons []role
	Words   string
	Bare    bool // there is no form: it can be struck through only
}

// show writes the page of a task.
func (w *Writer) show(rw http.ResponseWriter, r *http.Request, t *task, st *state) {
	p := &formPage{Title: t.sheet.Title, Place: t.where(), Kind: t.kind, Notice: st.notice, Cautions: t.cautions()}
	if j := t.snap.Job(t.subject.Job()); j != nil {
		p.Job, p.Plate, p.Drive = j.ID, j.Name(), t.snap.Standing(j.ID).DoNotDrive()
	}
	if t.at != nil {
		p.Title, p.Stage, p.Default = t.at.Stage.Title, w.around(t), t.byDefault()
	}
	if standing := t.snap.Standing(t.subject.Job()); t.kind == journal.VehicleReleased && standing != nil {
		for _, text := range standing.HandedBack().Says() {
			p.Cautions = append(p.Cautions, "The record will say: "+text+".")
		}
	}
	if t.path == "" && t.kind != "" {
		p.Title, p.Run = t.at.Stage.Title, kindPath(t.snap, t.kind, t.subject)
		p.Begun = strings.HasPrefix(p.Run, "/write/")
	}
	name := "write"
	if p.Ways, p.Named = t.handback(); len(p.Ways) > 0 {
		p.Cautions = nil
	} else if t.path != "" {
		is := w.work(r.Context(), t, st.draft, cmp.Or(st.armed, saveDo))
		if err := w.fill(r, p, t, st, is); err != nil {
			w.Logger.ErrorContext(r.Context(), "show a form", "path", t.path, "error", err)
			w.missing(rw, r, http.StatusInternalServerError, "This form cannot be shown now. Try again.")
			return
		}
		if t.of != nil {
			name = "correct"
		}
	}
	if no := t.unauthorised(); no != "" {
		p.Cautions = append([]string{no}, p.Cautions...)
	}
	w.page(rw, r, st.status, name, t.snap, pages.View{Title: p.Title + " · " + p.Place, Data: p})
}

// fill puts the form on its page, with what it comes to.
func (w *Writer) fill(r *http.Request, p *formPage, t *task, st *state, is worked) (err error) {
	typed := t.typed(st.draft)
	known := w.known(t, typed)
	known.Pick["photo"] = t.photoOptions(st.draft)
	p.Form = viewOf(t.sheet.View(typed, st.problems, known))
	p.Form.homeless(st.problems)
	t.countAll(p.Form, typed, st.problems)
	p.Drawings, p.Closes = t.drawings(typed), t.closes(typed)
	p.Action, p.Drawn, p.Since = t.path, t.drawn().String(), w.came(t, st.since)
	p.Confirms = w.asksPIN(r, t, st)
	if t.pair != nil {
		p.Pair = t.pair.part(t.snap, w.Now())
	}
	if t.pictured() {
		lens := t.shutter(st)
		lens.Marks = w.markings(r.Context(), t, st.draft)
		p.Shutter = &lens
	}
	p.worked = is
	if t.rack && st.problems[partsName] != "" {
		p.Form.Amiss = slices.Insert(p.Form.Amiss, 0, pages.Field{ID: partsName, Label: "Which parts"})
	}
	if p.Verdict.Amiss = p.Form.Amiss; st.armed != "" {
		p.Verdict.arm(p.worked, st.armed, p.Form.first())
	}
	switch {
	case t.rack:
		p.Rack = &rack{Cars: t.cars(typed), Bad: st.problems[partsName]}
	case t.parts != nil:
		p.Parts = len(*t.parts)
	case t.at != nil && takesParts(t.kind) && slices.Contains(t.kind.Places(), "run"):
		p.Several = pages.RunPath(t.kind, []journal.Subject{t.subject})
	}
	for _, preset := range t.presets {
		p.Presets = append(p.Presets, role{Shows: preset.Name, On: slices.Contains(typed["preset"], preset.Name)})
	}
	if t.of != nil {
		p.Title = "Correct: " + t.of.About
		was := w.line(t.snap.Shop, t.of)
		was.Correct = "" // that is this page
		c := &correctPart{Was: was, Bare: len(t.sheet.Fields) == 0}
		if words := typed[wordsName]; len(words) > 0 {
			c.Words = words[0]
		}
		for i, reason := range reasons() {
			on := i == 0
			if why := typed[whyName]; len(why) > 0 {
				on = why[0] == reason
			}
			c.Reasons = append(c.Reasons, role{Shows: reason, On: on})
		}
		p.Correct = c
	}
	p.Token, err = w.token()
	return err
}

// around is what is there of a stage at a place, and what else may be written.
func (w *Writer) around(t *task) *stagePart {
	s := &stagePart{}
	for _, k := range t.at.Stage.Kinds() {
		if k == journal.ConditionDecided && k != t.kind && !t.damaged() {
			continue
		}
		path := kindPath(t.snap, k, t.subject)
		if path == "" || w.May(k) != nil {
			continue
		}
		own := slices.Contains(slices.Concat(t.at.Stage.Wants, t.at.Stage.May), k) || k == journal.PhotoTaken || k == journal.NoteMade
		if own && (len(k.Places()) == 0 || slices.Contains(k.Places(), t.subject.Word())) {
			path = pages.StagePath(t.at.Stage.Name, t.subject) + "?kind=" + string(k)
		}
		s.Kinds = append(s.Kinds, link{Path: path, Say: titleOf(k), On: k == t.kind, Main: slices.Contains(t.at.Square.Lacks, k)})
	}
	for _, l := range t.at.Square.Lines {
		s.Done = append(s.Done, w.line(t.snap.Shop, l))
	}
	for _, v := range t.at.Square.Holds {
		s.Holds = append(s.Holds, newHold(v))
	}
	return s
}

// damaged reports whether damage was found in or around the subject, about which
// something can be decided.
func (t *task) damaged() bool {
	job := t.snap.Job(t.subject.Job())
	return job != nil && slices.ContainsFunc(job.Timeline(), func(l *record.Line) bool {
		return l.Kind == journal.ConditionFound && l.Effect() != nil && (facts.Covers(t.subject, l.Subject) || facts.Covers(l.Subject, t.subject))
	})
}

// titleOf is what a kind is called on a button.
func titleOf(k journal.Kind) string {
	if sheet, err := form.Of(k); err == nil {
		return sheet.Title
	}
	if k == journal.ProbeLogged {
		return "The recorder’s file"
	}
	return k.About()
}

func (w *Writer) line(shop *record.Shop, l *record.Line) line {
	o := line{Line: l, Place: pages.Place(l.Subject), Initials: shop.Initials(l.By)}
	o.Stamp = pages.Stamp{Written: true, Initials: o.Initials, Time: words.Clock(time.Time(l.Clocks.Device)), Struck: l.Struck != nil, Seed: l.ID.String()}
	if w.May(journal.EntryCorrected) == nil && w.May(l.Kind) == nil {
		o.Correct = "/correct/" + l.ID.String()
	}
	for _, photo := range l.Photos {
		if photo.Withdrawn.IsZero() {
			o.Shots = append(o.Shots, photo)
		}
	}
	return o
}
