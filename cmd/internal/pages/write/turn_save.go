package write

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/words"
)

// saveAll writes the entries of all forms that are ticked, or none of them and says
// why. Each is an entry of its own, with its photographs.
func (w *Writer) saveAll(rw http.ResponseWriter, r *http.Request, s *live.Snapshot, p *nowPage, in *posted) {
	if p.by = w.By(r); p.by == "" {
		http.Redirect(rw, r, "/who?back="+url.QueryEscape(p.Action), http.StatusSeeOther)
		return
	}
	list := p.ticked()
	refuse := func(status int, notice string) {
		p.Notice = notice
		w.showNow(rw, r, s, p, status)
	}
	switch {
	case in.token == "":
		refuse(http.StatusConflict, "This form came without its number, so it could be written twice. Nothing was written; press once more.")
		return
	case len(list) == 0:
		refuse(http.StatusUnprocessableEntity, "Nothing is filled in or ticked yet.")
		return
	}
	for _, t := range list {
		t.data, t.st.problems = t.payload(t.st.draft.Values)
	}
	if bad := wrongOf(list); bad != nil {
		refuse(http.StatusUnprocessableEntity, "Nothing was written. Complete “"+bad.named()+"” first.")
		return
	}
	press, err := pressOf(in.token, list)
	if err != nil {
		refuse(http.StatusInternalServerError, words.Sentence(err.Error()))
		return
	}
	// All entries of a press are there, or none.
	if id, led := w.led(r.Context(), list[0].task, saveDo, list[0].st.draft, press); led { // sent twice
		w.goOn(rw, r, p, list, &stamp{ids: []journal.EntryID{id}, again: true})
		return
	}
	for _, t := range list {
		if in.drawn == nil {
			break
		}
		if p.since = t.since(*in.drawn, chosen(t.st.draft.Values)); len(p.since) > 0 {
			p.sinceOf = t.task
			refuse(http.StatusConflict, "")
			return
		}
	}
	drafts, err := w.drafts(r.Context(), list)
	if err != nil {
		w.Logger.ErrorContext(r.Context(), "make ready what is stamped", "error", err)
		refuse(http.StatusInternalServerError, "It could not be written. What was typed is kept; the log on this machine says why.")
		return
	}
	if bad := wrongOf(list); bad != nil {
		refuse(http.StatusUnprocessableEntity, "Nothing was written. Complete “"+bad.named()+"” first.")
		return
	}
	if all, _ := w.workAll(r.Context(), list); all.Verdict.Asks() && in.sure != all.sure {
		p.armed = true
		refuse(http.StatusUnprocessableEntity, "")
		return
	}
	wrote, err := w.writeAll(r.Context(), list, drafts, press)
	if err != nil {
		status, notice := w.whyNot(r, err)
		refuse(status, notice)
		return
	}
	w.goOn(rw, r, p, list, wrote)
}

// ticked are the forms that the next press stamps.
func (p *nowPage) ticked() (list []*turn) {
	for _, t := range p.turns {
		if t.on {
			list = append(list, t)
		}
	}
	return list
}

// shownBeside reports whether the photograph that a form lacks is taken with another
// one of the press, which shows both.
func (t *turn) shownBeside(list []*turn) bool {
	_, missing := t.pictures(t.st.draft)
	if t.at == nil {
		return false
	}
	return slices.ContainsFunc(t.at.Stage.Photos, func(pic card.Picture) bool {
		return pic.Shows == missing && slices.ContainsFunc(list, func(o *turn) bool {
			return o.at != nil && o.at.Stage == t.at.Stage && pic.For.Around(o.subject) == pic.For.Around(t.subject) &&
				slices.ContainsFunc(o.st.draft.Photos, func(p draft.Photo) bool { return p.Role == pic.Shows })
		})
	})
}

// drafts makes the entries of the forms. What is wrong with one stands in its state.
func (w *Writer) drafts(ctx context.Context, list []*turn) ([]journal.Draft, error) {
	var drafts []journal.Draft
	for _, t := range list {
		if (t.kind == journal.PhotoTaken || t.kind.Is(journal.ByPhotograph)) && len(t.st.draft.Photos) == 0 {
			t.st.trouble = "There is no photograph yet. Take it first."
			continue
		}
		d, err := w.entryOf(ctx, t.task, t.data, t.st.draft.Photos)
		var invalid *journal.Invalid
		switch {
		case errors.As(err, &invalid):
			t.st.problems = t.sheet.Placed(invalid)
		case err != nil:
			return nil, err
		}
		drafts = append(drafts, d)
	}
	return drafts, nil
}

// wrongOf is the first form that cannot be written as it is, nil for none.
func wrongOf(list []*turn) *turn {
	for _, t := range list {
		if len(t.st.problems) > 0 || t.st.trouble != "" || t.st.notice != "" {
			return t
		}
	}
	return nil
}

// pressOf is the press of a button that writes several entries.
func pressOf(token string, list []*turn) (draft.Press, error) {
	sum := sha256.New()
	for _, t := range list {
		one, err := t.press(token, t.data)
		if err != nil {
			return draft.Press{}, err
		}
		fmt.Fprintln(sum, one.Content)
	}
	return draft.Press{Token: token, Content: hex.EncodeToString(sum.Sum(nil))}, nil
}

// writeAll appends the entries unless this press has done so. Who sends it again
// after a power cut is told by the first of them: all are there, or none.
func (w *Writer) writeAll(ctx context.Context, list []*turn, drafts []journal.Draft, p draft.Press) (*stamp, error) {
	s := &stamp{}
	id, err := w.once(ctx, p,
		func(s *live.Snapshot, since time.Time) (journal.EntryID, bool) {
			return list[0].same(s, drafts[0].Subject, drafts[0].Data, since)
		},
		func() (journal.EntryID, error) {
			entries, err := w.Store.AppendAll(ctx, drafts)
			if len(entries) == 0 {
				return journal.EntryID{}, err
			}
			for i, e := range entries {
				s.ids = append(s.ids, e.ID)
				s.forms = append(s.forms, filledForm{list[i].task.key(), list[i].st.draft})
			}
			return entries[len(entries)-1].ID, err
		})
	if len(s.ids) == 0 {
		s.ids, s.again = []journal.EntryID{id}, true
	}
	return s, err
}

// goOn throws the drafts away and shows what comes next at the place.
func (w *Writer) goOn(rw http.ResponseWriter, r *http.Request, p *nowPage, list []*turn, wrote *stamp) {
	for _, t := range list {
		if err := w.Drafts.Drop(t.task.key()); err != nil {
			w.Logger.WarnContext(r.Context(), "drop a draft", "path", t.path, "error", err)
		}
	}
	ctx, cancel := context.WithTimeout(r.Context(), patience)
	defer cancel()
	id := wrote.ids[len(wrote.ids)-1]
	snap, err := w.Live.Await(ctx, id)
	if err != nil {
		w.Logger.WarnContext(r.Context(), "show what was written", "entry", id, "error", err)
	}
	w.stamped(wrote, p.by, p.Action, snap)
	http.Redirect(rw, r, p.Action, http.StatusSeeOther)
}

// named is what the form is called in a sentence.
func (t *turn) named() string { return t.heading() + ", " + t.where() }

// heading is what stands over the form.
func (t *turn) heading() string {
	switch joint := form.Values(t.start).Get("joint"); {
	case t.kind == journal.TorqueApplied && joint != "":
		return t.sheet.Title + ": " + joint
	case t.kind == journal.PhotoTaken:
		if _, missing := t.pictures(t.st.draft); missing != "" {
			return "Photograph: " + missing
		}
	}
	return cmp.Or(t.sheet.Title, t.kind.About())
}
