package write

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"net/url"
	"time"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// save writes the entry, or says on the same page why not. Nothing that was
// typed is lost either way.
func (w *Writer) save(rw http.ResponseWriter, r *http.Request, t *task, in *posted, st *state) {
	if t.by == "" {
		http.Redirect(rw, r, "/who?back="+url.QueryEscape(t.path), http.StatusSeeOther)
		return
	}
	if in.token == "" {
		st.status, st.notice = http.StatusConflict, "This form came without its number, so it could be written twice. Nothing was written; press once more."
		w.show(rw, r, t, st)
		return
	}
	payload, problems := t.asked(in.do, st.draft.Values)
	if len(problems) > 0 {
		st.status, st.problems = http.StatusUnprocessableEntity, problems
		w.show(rw, r, t, st)
		return
	}
	p, err := t.press(in.token, payload)
	if err != nil {
		w.refuse(rw, r, t, st, err)
		return
	}
	if id, led := w.led(r.Context(), t, in.do, st.draft, p); led { // sent twice
		w.done(rw, r, t, &stamp{ids: []journal.EntryID{id}, again: true})
		return
	}
	if in.drawn != nil {
		if st.since = t.since(*in.drawn, chosen(st.draft.Values)); len(st.since) > 0 {
			st.status = http.StatusConflict
			w.show(rw, r, t, st)
			return
		}
	}
	if (t.kind == journal.PhotoTaken || t.kind.Is(journal.ByPhotograph)) && t.of == nil && len(st.draft.Photos) == 0 {
		st.status, st.trouble = http.StatusUnprocessableEntity, "There is no photograph yet. Take it first."
		w.show(rw, r, t, st)
		return
	}
	if is := w.work(r.Context(), t, st.draft, in.do); is.Verdict.Asks() && in.sure != is.sure {
		st.status, st.armed = http.StatusUnprocessableEntity, in.do
		w.show(rw, r, t, st)
		return
	}
	if st.unconfirmed = w.confirm(r, t, in); st.unconfirmed != "" {
		st.status = http.StatusForbidden
		w.show(rw, r, t, st)
		return
	}
	id, err := w.write(r.Context(), t, payload, p, st.draft.Photos)
	if err != nil {
		w.refuse(rw, r, t, st, err)
		return
	}
	w.done(rw, r, t, &stamp{ids: []journal.EntryID{id}, forms: []filledForm{{t.key(), st.draft}}})
}

// led is the entry that a press has led to already, also one that the program was killed
// over: before it is asked what came since the page was drawn, among which it would be.
func (w *Writer) led(ctx context.Context, t *task, do string, d draft.Draft, p draft.Press) (journal.EntryID, bool) {
	return w.Drafts.Led(p, w.following(ctx, func(s *live.Snapshot, since time.Time) (journal.EntryID, bool) {
		payload, problems := t.asked(do, d.Values)
		if len(problems) > 0 {
			return journal.EntryID{}, false
		}
		e, err := w.entryOf(ctx, t, payload, d.Photos)
		if err != nil {
			return journal.EntryID{}, false
		}
		return t.same(s, e.Subject, payload, since)
	}))
}

// asked is what a press asks to be written.
func (t *task) asked(do string, v form.Values) (journal.Payload, form.Problems) {
	switch {
	case t.of != nil && do == strikeDo:
		return t.struck(v, nil), nil
	case t.of != nil && len(t.sheet.Fields) == 0:
		return nil, form.Problems{"": "This entry can only be struck through."}
	default:
		return t.payload(v)
	}
}

// done throws the draft away and goes on to what comes next, where the stamp can be
// taken back for a moment.
func (w *Writer) done(rw http.ResponseWriter, r *http.Request, t *task, s *stamp) {
	id := s.ids[len(s.ids)-1]
	if err := w.Drafts.Drop(t.key()); err != nil {
		w.Logger.WarnContext(r.Context(), "drop a draft", "path", t.path, "error", err)
	}
	ctx, cancel := context.WithTimeout(r.Context(), patience)
	defer cancel()
	snap, err := w.Live.Await(ctx, id)
	if err != nil {
		w.Logger.WarnContext(r.Context(), "show what was written", "entry", id, "error", err)
	}
	about, to := t.subject, ""
	if lines := snap.Line(id); len(lines) > 0 {
		l := lines[0]
		about = l.Subject
		if w.Page != nil && t.of == nil {
			to = w.Page(l)
		}
	}
	w.stamped(s, t.by, t.path, snap)
	http.Redirect(rw, r, cmp.Or(to, t.next(snap, about)), http.StatusSeeOther)
}

// press is the press of a form's button: its number and what it writes. The
// photographs are not part of it, since they have left the draft when a press
// is sent again.
func (t *task) press(token string, payload journal.Payload) (draft.Press, error) {
	raw, err := journal.MarshalPayload(payload)
	if err != nil {
		return draft.Press{}, err
	}
	sum := sha256.Sum256([]byte(t.path + "\n" + string(payload.Kind()) + "\n" + string(raw)))
	return draft.Press{Token: token, Content: hex.EncodeToString(sum[:])}, nil
}

// write appends the entry unless this press has done so.
func (w *Writer) write(ctx context.Context, t *task, payload journal.Payload, p draft.Press, shots []draft.Photo) (journal.EntryID, error) {
	d, err := w.entryOf(ctx, t, payload, shots)
	if err != nil {
		return journal.EntryID{}, err
	}
	return w.once(ctx, p,
		func(s *live.Snapshot, since time.Time) (journal.EntryID, bool) {
			return t.same(s, d.Subject, payload, since)
		},
		func() (journal.EntryID, error) {
			e, err := w.Store.Append(ctx, d)
			if e == nil {
				return journal.EntryID{}, err
			}
			return e.ID, err
		})
}

// entryOf is the entry of a form with its photographs, as it would be appended.
func (w *Writer) entryOf(ctx context.Context, t *task, payload journal.Payload, shots []draft.Photo) (journal.Draft, error) {
	photos, thumbs, err := w.thumbs(ctx, shots)
	if err != nil {
		return journal.Draft{}, err
	}
	journal.Attach(payload, photos...)
	d := journal.Draft{Subject: t.subject, By: t.by, Data: payload, Thumbs: thumbs, Begins: t.rack}
	if t.about != nil {
		if d.Subject, err = t.about(payload); err != nil {
			return journal.Draft{}, journal.Refuse("", journal.WhatUnknown, "%s", err)
		}
	}
	return d, d.Valid()
}

// once writes what a press asks for unless that was done already, which found looks
// for after a press was cut off.
func (w *Writer) once(ctx context.Context, p draft.Press, found func(*live.Snapshot, time.Time) (journal.EntryID, bool), write func() (journal.EntryID, error)) (journal.EntryID, error) {
	id, err := w.Drafts.Once(p, w.following(ctx, found), write)
	var spent *draft.Spent
	if err != nil && !id.IsZero() && !errors.As(err, &spent) { // it is in the log
		w.Logger.WarnContext(ctx, "after an entry was written", "entry", id, "error", err)
		return id, nil
	}
	return id, err
}

// following looks in a shop that holds all that the log holds.
func (w *Writer) following(ctx context.Context, found func(*live.Snapshot, time.Time) (journal.EntryID, bool)) func(time.Time) (journal.EntryID, bool) {
	return func(since time.Time) (journal.EntryID, bool) {
		if err := w.Live.Follow(ctx); err != nil {
			w.Logger.WarnContext(ctx, "follow the log", "error", err)
		}
		return found(w.Live.Shop.View(ctx), since)
	}
}

// refuse shows the page again with what the log said.
func (w *Writer) refuse(rw http.ResponseWriter, r *http.Request, t *task, st *state, err error) {
	var invalid *journal.Invalid
	if errors.As(err, &invalid) {
		st.status, st.problems = http.StatusUnprocessableEntity, t.sheet.Placed(invalid)
	} else {
		st.status, st.notice = w.whyNot(r, err)
	}
	w.show(rw, r, t, st)
}

// whyNot says why the log took nothing of a press.
func (w *Writer) whyNot(r *http.Request, err error) (int, string) {
	var invalid *journal.Invalid
	var spent *draft.Spent
	var much *journal.TooMuch
	var unmet *route.Unreleasable
	switch {
	case errors.As(err, &unmet):
		return http.StatusUnprocessableEntity, "The vehicle may not be handed back yet: a hold point has changed meanwhile. Open the page again."
	case errors.As(err, &invalid), errors.As(err, &much):
		return http.StatusUnprocessableEntity, "Nothing was written. " + words.Sentence(err.Error())
	case errors.As(err, &spent):
		return http.StatusConflict, words.Sentence(spent.Error())
	case errors.Is(err, journal.ErrDiskLow), errors.Is(err, journal.ErrClosed):
		return http.StatusInsufficientStorage, words.Sentence(err.Error())
	}
	w.Logger.ErrorContext(r.Context(), "write entries", "path", r.URL.Path, "error", err)
	return http.StatusInternalServerError, "It could not be written. What was typed is kept; the log on this machine says why."
}
