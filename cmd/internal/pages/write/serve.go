package write

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
	"fettlebook/media"
)

// state is what a form shows beside its task.
type state struct {
	status   int
	draft    draft.Draft
	problems form.Problems
	trouble  string         // about the picture that was sent last
	taken    []media.Ref    // the pictures that were
	armed    string         // what was pressed that only asks, to be pressed once more
	notice   string         // about the form as a whole
	since    []*record.Line // that came after the page was drawn
	// unconfirmed is why whoever stamps has not shown that it is them.
	unconfirmed string
}

// serve shows a form, or does what was pressed in it. Whatever is pressed,
// what the request holds is kept first.
func (w *Writer) serve(rw http.ResponseWriter, r *http.Request, t *task) {
	if r.Method != http.MethodPost {
		d, err := w.begun(t)
		if len(t.hung) > 0 && len(d.Values) > 0 { // shown, and not kept before something is pressed
			d.Values[partsName] = union(d.Values[partsName], t.hung)
		}
		st := &state{status: http.StatusOK, draft: d}
		if errors.Is(err, draft.ErrDamaged) {
			st.notice = words.Sentence(draft.ErrDamaged.Error())
		}
		if err != nil {
			w.Logger.WarnContext(r.Context(), "read a draft", "path", t.path, "error", err)
		}
		w.show(rw, r, t, st)
		return
	}
	in, err := w.take(rw, r, t.subject)
	if err != nil {
		w.missing(rw, r, http.StatusRequestEntityTooLarge, "What was sent is not a form of this page, or holds more than an entry can. Nothing was written.")
		return
	}
	if !in.writes() && w.Drafts.Spent(in.token) {
		// An old page says goodbye: its entry is written, and there is
		// nothing to keep.
		st := &state{status: http.StatusOK}
		switch {
		case r.Header.Get("X-Part") == "figure":
			rw.WriteHeader(http.StatusConflict)
			return
		case len(in.shots) > 0:
			st.status, st.trouble = http.StatusConflict, stampedAlready
		}
		w.back(rw, r, t, in, st)
		return
	}
	in.aside = r.Header.Get("X-Part") == "photos"
	st := &state{status: http.StatusOK}
	st.draft, err = w.kept(t, in)
	for _, shot := range in.shots {
		st.taken = append(st.taken, shot.Ref)
	}
	if st.trouble = in.trouble; err != nil {
		st.status, st.notice = http.StatusInsufficientStorage, "What was typed could not be kept on this machine’s disk. Do not leave this page."
		if errors.Is(err, draft.ErrTooBig) {
			st.status, st.notice = http.StatusRequestEntityTooLarge, words.Sentence(draft.ErrTooBig.Error())
		}
		w.Logger.ErrorContext(r.Context(), "keep a draft", "path", t.path, "error", err)
		w.show(rw, r, t, st)
		return
	}
	switch {
	case in.trouble != "":
		st.status = http.StatusUnprocessableEntity
		w.back(rw, r, t, in, st)
	case in.writes():
		w.save(rw, r, t, in, st)
	case in.do == "figure":
		if _, st.problems = t.payload(st.draft.Values); len(st.problems) > 0 {
			st.status = http.StatusUnprocessableEntity
		}
		w.show(rw, r, t, st)
	default:
		w.back(rw, r, t, in, st)
	}
}

// stampedAlready is said of a photograph that an old page sends.
const stampedAlready = "This form is stamped already. Open the page again, then take the photograph."

// begun is the draft of a task. What was typed while nobody had said who they
// are belongs to who says so then.
func (w *Writer) begun(t *task) (draft.Draft, error) {
	d, err := w.Drafts.Get(t.key())
	if err != nil || t.by == "" || len(d.Values)+len(d.Photos) > 0 {
		return d, err
	}
	nobody := draft.Key{Path: t.path}
	found, err := w.Drafts.Get(nobody)
	if err != nil || len(found.Values)+len(found.Photos) == 0 {
		return d, nil
	}
	d, err = w.Drafts.Change(t.key(), func(d *draft.Draft) { *d = found })
	if err == nil {
		err = w.Drafts.Drop(nobody)
	}
	return d, err
}

// back answers a press that writes nothing: with the piece of the page that
// the script asked for, with the page if something is to be said, and else
// with the way back to it.
func (w *Writer) back(rw http.ResponseWriter, r *http.Request, t *task, in *posted, st *state) {
	switch r.Header.Get("X-Part") {
	case "figure":
		w.part(rw, r, st.status, "write", "entry-worked", w.work(r.Context(), t, st.draft, saveDo))
	case "photos":
		s := t.shutter(st)
		s.Quick, s.Marks = true, w.markings(r.Context(), t, st.draft)
		w.part(rw, r, st.status, "write", "entry-shot", shot{s, w.work(r.Context(), t, st.draft, saveDo)})
	default:
		if st.status != http.StatusOK {
			w.show(rw, r, t, st)
			return
		}
		at := ""
		if strings.HasPrefix(in.do, "all:") {
			at = "#" + partsName
		} else if strings.HasPrefix(in.do, againDo) {
			at = "#photos"
		} else if verb, rest, ok := strings.Cut(in.do, ":"); verb == "tap" {
			at = tappedAt(rest)
		} else if ok && verb != "drop" && verb != "preset" {
			field, _, _ := strings.Cut(rest, ":")
			field, _, _ = strings.Cut(field, "=")
			at = "#" + form.ID(field)
		}
		http.Redirect(rw, r, t.path+at, http.StatusSeeOther)
	}
}

// shot is the answer to a photograph: it may be what a hold point was lacking.
type shot struct {
	Shutter shutter
	worked
}

// kept puts what a request holds into the draft, and does to it what was
// pressed.
func (w *Writer) kept(t *task, in *posted) (draft.Draft, error) {
	return w.Drafts.Change(t.key(), func(d *draft.Draft) {
		d.Title = t.title
		if in.cut {
			for name, v := range in.values {
				d.Values[name] = v
			}
		} else if len(in.values) > 0 && (!in.aside || len(d.Values) == 0) {
			d.Values = in.values
		}
		if in.file != nil {
			d.File = in.file
		}
		in.hang(d)
		t.pressed(d, in.do)
	})
}

// pressed does what a button asks for: "step:torque:-1", "grow:spots",
// "shrink:spots:2", "put:joint=banjo bolt", "preset:<name>", "drop:<ref>",
// "all:<job>", "again:<ref>", "tap:<left>:<top>:<drawing>", "tap:<left>:<top>:<photograph>".
func (t *task) pressed(d *draft.Draft, do string) {
	verb, rest, _ := strings.Cut(do, ":")
	v := form.Values(d.Values)
	switch verb {
	case "step", "shrink":
		field, by, _ := strings.Cut(rest, ":")
		n, err := strconv.Atoi(by)
		switch {
		case err != nil:
		case verb == "step":
			v = t.sheet.Step(v, field, n)
		default:
			v = t.sheet.Shrink(v, field, n)
		}
	case "grow":
		v = t.sheet.Grow(v, rest)
	case "put":
		if field, text, ok := strings.Cut(rest, "="); ok {
			v = t.sheet.Put(v, field, text)
		}
	case "preset":
		v = t.preset(v, rest)
	case "tap":
		v = t.tap(*d, rest)
	case "drop":
		ref, err := media.ParseHex(rest)
		if err == nil {
			d.Photos = slices.DeleteFunc(d.Photos, func(p draft.Photo) bool { return p.Ref == ref })
		}
	case "all":
		if t.parts != nil {
			v = t.tick(v, journal.JobID(rest))
		}
	}
	d.Values = v
}
