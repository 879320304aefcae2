package write

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// nowPage is the page of what is done now at a place.
type nowPage struct {
	about   journal.Subject
	by      journal.PersonID
	turns   []*turn
	since   []*record.Line // that came after the page was drawn
	sinceOf *task

	Place, Plate  string
	Job           journal.JobID
	Cautions      []string
	Action, Token string
	Drawn         string
	Since         *sincePart
	Notice        string
	Forms         []*turnForm
	Links         []link // where that is done which has no form here
	Recorders     []link // runs whose recorder's file has its turn
	Elsewhere     []link // other corners at which something has its turn
	armed         bool   // a first press was answered, and a second one stamps
	Verdict       Verdict
	Default       bool // a form names the shop's default as a source
	Unmet, Form   any  // of the notices of a form that stands alone
}

// turnForm is one form of the page.
type turnForm struct {
	*formPage
	Key, Heading string
	On, Then     bool
	Wanted       bool   // a photograph is wanted with it
	All          worked // of all that are ticked
}

// Path is the page of the form alone.
func (f *turnForm) Path() string { return f.Action }

// showNow writes the page.
func (w *Writer) showNow(rw http.ResponseWriter, r *http.Request, s *live.Snapshot, p *nowPage, status int) {
	if err := w.fillNow(r, s, p); err != nil {
		w.Logger.ErrorContext(r.Context(), "show forms", "path", p.Action, "error", err)
		w.missing(rw, r, http.StatusInternalServerError, "These forms cannot be shown now. Try again.")
		return
	}
	w.page(rw, r, status, "now", s, pages.View{Title: "Now · " + p.Place, Data: p})
}

func (w *Writer) fillNow(r *http.Request, s *live.Snapshot, p *nowPage) (err error) {
	p.Job, p.Place = p.about.Job(), words.Capital(pages.Place(p.about))
	if j := s.Job(p.Job); j != nil {
		p.Plate = j.Name()
	}
	drawn := make(extent)
	all, each := w.workAll(r.Context(), p.ticked())
	for _, t := range p.turns {
		for device, n := range t.drawn() {
			drawn[device] = max(drawn[device], n)
		}
		for _, say := range t.cautions() {
			if !slices.Contains(p.Cautions, say) {
				p.Cautions = append(p.Cautions, say)
			}
		}
		f, err := w.formOf(r, t, each[t])
		if err != nil {
			return err
		}
		p.Forms = append(p.Forms, f)
	}
	p.Drawn, p.Default = drawn.String(), all.Default
	if p.Verdict = all.Verdict; p.armed {
		p.Verdict.arm(all, saveDo, "main")
	}
	for _, f := range p.Forms {
		if p.Verdict.Amiss == nil {
			p.Verdict.Amiss = f.Form.Amiss
		}
	}
	if p.sinceOf != nil {
		p.Since = w.came(p.sinceOf, p.since)
	}
	p.Elsewhere = elsewhere(s, p.about)
	p.Token, err = w.token()
	return err
}

// formOf makes one form ready to be shown among others, with what it comes to among them.
func (w *Writer) formOf(r *http.Request, t *turn, is worked) (*turnForm, error) {
	p := &formPage{Title: t.sheet.Title, Place: words.Capital(t.where()), Kind: t.kind, Notice: t.st.notice}
	if err := w.fill(r, p, t.task, t.st, is); err != nil {
		return nil, err
	}
	f := &turnForm{formPage: p, Key: t.key, Heading: t.heading(), On: t.on, Then: t.on || t.then}
	f.At, p.Form.Mark = t.key+keyed, "-"+t.key
	p.Form.under(f.At, t.key)
	if p.Shutter != nil {
		p.Shutter.At, p.Shutter.Mark = f.At, p.Form.Mark
		_, missing := t.pictures(t.st.draft)
		f.Wanted = missing != "" || len(p.Shutter.Snaps) > 0 || p.Shutter.Trouble != ""
	}
	p.Days = t.sheet.Days(t.typed(t.st.draft))
	for i := range p.Days {
		p.Days[i].ID = underID(p.Days[i].ID, t.key)
	}
	if p.Rack != nil {
		p.Rack.At, p.Rack.Mark = f.At, p.Form.Mark
	}
	return f, nil
}

// under puts the key of the form before the names of its fields, and into their ids.
func (v *sheetView) under(at, key string) {
	put := func(fields []field) { underEach(fields, at, key) }
	put(v.Fields)
	put(v.More)
	for i, f := range v.Amiss {
		if v.Amiss[i].ID = underID(f.ID, key); f.ID == partsName {
			v.Amiss[i].ID += v.Mark
		}
	}
}

func underEach(fields []field, at, key string) {
	for i := range fields {
		f := &fields[i]
		f.Name, f.Describe = at+f.Name, strings.ReplaceAll(f.Describe, f.ID, underID(f.ID, key))
		f.ID = underID(f.ID, key)
		if f.All != nil {
			f.All.Name, f.All.ID = at+f.All.Name, underID(f.All.ID, key)
		}
		for _, l := range f.Lines {
			underEach(l.Cells, at, key)
		}
	}
}

func underID(id, key string) string { return strings.Replace(id, "f-", "f"+key+"-", 1) }

// elsewhere are the other corners of the job at which something has its turn.
func elsewhere(s *live.Snapshot, about journal.Subject) []link {
	st := s.Standing(about.Job())
	if st == nil || about.Corner() == "" {
		return nil
	}
	counts := make(map[journal.Corner]int)
	var order []journal.Corner
	for _, want := range route.Turn(st.Card, st.Rows, st.Next, nil) {
		var here []journal.Corner
		for _, at := range want.About {
			if c := at.Corner(); c != "" && c != about.Corner() && !slices.Contains(here, c) {
				here = append(here, c)
			}
		}
		for _, c := range here {
			if counts[c] == 0 {
				order = append(order, c)
			}
			counts[c]++
		}
	}
	var list []link
	for _, c := range order {
		list = append(list, link{Path: pages.NowPath(journal.About(about.Job(), c, "")), Say: fmt.Sprintf("%s: %s", c, words.Count(counts[c], "entry"))})
	}
	return list
}

// answerNow answers a press that writes nothing: with the piece of the page that
// the script asked for, with the page if something is to be said, and else with
// the way back to it.
func (w *Writer) answerNow(rw http.ResponseWriter, r *http.Request, s *live.Snapshot, p *nowPage) {
	status := http.StatusOK
	if p.Notice != "" {
		status = http.StatusUnprocessableEntity
	}
	for _, t := range p.turns {
		if status = max(status, t.st.status); t.st.trouble != "" {
			status = max(status, http.StatusUnprocessableEntity)
		}
	}
	part := map[string]string{"figure": "now-worked", "photos": "now-shot", "item": "now-item"}[r.Header.Get("X-Part")]
	key := r.Header.Get("X-Item")
	i := slices.IndexFunc(p.turns, func(t *turn) bool { return t.key == key })
	switch {
	case part != "" && i < 0 && r.Header.Get("X-Part") == "figure":
		rw.WriteHeader(http.StatusNoContent) // it is kept, and nothing is to be worked out
	case part != "" && i >= 0:
		all, each := w.workAll(r.Context(), p.ticked())
		f, err := w.formOf(r, p.turns[i], each[p.turns[i]])
		if err != nil {
			w.missing(rw, r, http.StatusInternalServerError, "This form cannot be shown now. Try again.")
			return
		}
		if f.Shutter != nil {
			f.Shutter.Quick = true
		}
		f.All = all
		w.part(rw, r, status, "now", part, f)
	case status != http.StatusOK:
		w.showNow(rw, r, s, p, status)
	default:
		http.Redirect(rw, r, p.Action, http.StatusSeeOther)
	}
}
