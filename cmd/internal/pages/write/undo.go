package write

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"sync"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// undoable is how long a stamp can be taken back with one tap. After that others may have
// read it, and it takes a correction with its reason.
const undoable = 10 * time.Second

// slip is the reason of a correction that takes a stamp back.
const slip = "slip"

// stamp is what one press wrote.
type stamp struct {
	ids   []journal.EntryID // several where one entry could not hold it, or one press wrote several
	forms []filledForm      // what the forms held
	again bool              // the press was sent twice, and had written it before

	by     journal.PersonID
	at     time.Time // with the running clock in it, so that no setting of the time makes it longer or shorter
	path   string    // of the page that it was stamped on
	say    string
	stands bool // it is taken back by a correction only
	back   bool // it was taken back
}

// filledForm is a form as it was stamped.
type filledForm struct {
	key   draft.Key
	draft draft.Draft
}

// stamps are those of the last seconds. Who starts the program anew takes none of them
// back, only corrects.
type stamps struct {
	mu   sync.Mutex
	list []*stamp
}

// of returns what a person stamped last, or the entry that is asked for; nil if that is too
// long ago.
func (s *stamps) of(by journal.PersonID, id journal.EntryID, now time.Time) *stamp {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.list = slices.DeleteFunc(s.list, func(one *stamp) bool { return now.Sub(one.at) >= undoable })
	for _, one := range slices.Backward(s.list) {
		if one.by == by && (id.IsZero() || slices.Contains(one.ids, id)) {
			found := *one
			return &found
		}
	}
	return nil
}

// close ends the time in which what a person stamped can be taken back.
func (s *stamps) close(by journal.PersonID) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, one := range s.list {
		one.stands = one.stands || one.by == by
	}
}

func (s *stamps) add(one *stamp) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.list = append(s.list, one)
}

// stamped notes what was written on a page, for as long as it is said to whoever pressed, and
// can be taken back: all that one press wrote, or none of it.
func (w *Writer) stamped(s *stamp, by journal.PersonID, path string, snap *live.Snapshot) {
	now := w.Now()
	if s.again && w.fresh.of(by, s.ids[0], now) != nil {
		return
	}
	s.stands = s.again
	for i, id := range s.ids {
		lines := snap.Line(id)
		if len(lines) == 0 || !w.takesBack(lines[0].Kind) { // of what is not known yet nobody can say
			s.stands = true
			w.fresh.close(by) // what was stamped before it is taken back by a correction only, too
		}
		if len(lines) == 0 {
			continue
		}
		l := lines[0]
		place := pages.Place(l.Subject)
		if n := len(journal.Hung(l.Payload)); n > 0 {
			place = words.Count(n, "part")
		}
		if i == 0 {
			s.say = place + ": " + l.Says()
		}
	}
	switch {
	case s.say == "":
		s.say = words.Count(len(s.ids), "entry")
	case len(s.forms) > 1:
		s.say = words.Count(len(s.ids), "entry") + ". The first: " + s.say
	}
	s.by, s.at, s.path = by, now, path
	w.fresh.add(s)
}

// takesBack reports whether a stamp of a kind can be taken back on these pages.
func (w *Writer) takesBack(k journal.Kind) bool {
	return k.TakesBack() && w.May(k) == nil && w.May(journal.EntryCorrected) == nil
}

// Undo is what whoever sent a request stamped a moment ago; nil for nothing.
func (w *Writer) Undo(r *http.Request) *pages.Undo {
	by := w.By(r)
	if by == "" {
		return nil
	}
	now := w.Now()
	s := w.fresh.of(by, journal.EntryID{}, now)
	if s == nil {
		return nil
	}
	left := int(math.Ceil((undoable - now.Sub(s.at)).Seconds()))
	u := &pages.Undo{Say: s.say, Left: left, Done: s.back}
	if !s.back && !s.stands {
		u.Path = "/undo/" + s.ids[0].String()
	}
	return u
}

// latePage says why a stamp was not taken back, and leads on.
type latePage struct {
	Why     string
	Was     *line
	Correct string
}

// undo strikes out what was stamped a moment ago, and shows its form again as it was filled
// in. Pressed later it does nothing and leads to the correction.
func (w *Writer) undo(rw http.ResponseWriter, r *http.Request) {
	by := w.By(r)
	if by == "" {
		http.Redirect(rw, r, "/who?back="+url.QueryEscape("/"), http.StatusSeeOther)
		return
	}
	snap := w.Live.View(r.Context())
	id, err := journal.ParseEntryID(r.PathValue("id"))
	lines := snap.Line(id)
	if err != nil || len(lines) == 0 {
		w.missing(rw, r, http.StatusNotFound, "There is no entry with this number here.")
		return
	}
	s := w.fresh.of(by, id, w.Now())
	if s == nil || s.stands {
		why := fmt.Sprintf("A stamp can be taken back, by the person who stamped it, within %.0f seconds. This entry stands; a correction strikes it through, with the reason.", undoable.Seconds())
		if lines[0].Effect() == nil {
			why = "The entry is struck through already."
		}
		w.late(rw, r, lines[0], why)
		return
	}
	if err := w.takeBack(r.Context(), s); err != nil {
		w.Logger.WarnContext(r.Context(), "take a stamp back", "entry", id, "error", err)
		w.late(rw, r, lines[0], "It was not taken back: "+err.Error()+".")
		return
	}
	http.Redirect(rw, r, s.path, http.StatusSeeOther)
}

// takeBack writes the corrections, of the last entry first, all of them or none, and puts
// what was typed back into its form. However often it is asked for, it writes each once.
func (w *Writer) takeBack(ctx context.Context, s *stamp) error {
	if err := w.strike(ctx, s); err != nil {
		return err
	}
	w.fresh.tookBack(s.ids[0], w.Now())
	for _, f := range s.forms {
		_, err := w.Drafts.Change(f.key, func(d *draft.Draft) {
			if len(d.Values)+len(d.Photos) == 0 && d.File == nil {
				*d = f.draft
			}
		})
		if err != nil { // what was typed can be read in what is struck through
			w.Logger.WarnContext(ctx, "put a draft back", "path", f.key.Path, "error", err)
		}
	}
	return nil
}

// tookBack has the page that follows say so.
func (s *stamps) tookBack(id journal.EntryID, now time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(s.list, func(one *stamp) bool { return one.ids[0] == id && !one.back })
	if i < 0 {
		return
	}
	one := s.list[i]
	one.back, one.at = true, now
	s.list = append(slices.Delete(s.list, i, i+1), one)
}

// strike strikes out what was stamped and still stands.
func (w *Writer) strike(ctx context.Context, s *stamp) error {
	var drafts []journal.Draft
	view := w.Live.View(ctx)
	for _, id := range slices.Backward(s.ids) {
		if lines := view.Line(id); len(lines) > 0 && lines[0].Effect() != nil {
			drafts = append(drafts, journal.Draft{Subject: lines[0].Subject, By: s.by, Data: &journal.Correction{Of: id, Reason: slip}})
		}
	}
	if len(drafts) == 0 {
		return nil
	}
	t := &task{kind: journal.EntryCorrected, by: s.by}
	id := s.ids[0].String()
	struck, err := w.once(ctx, draft.Press{Token: "undo " + id, Content: id},
		func(now *live.Snapshot, since time.Time) (journal.EntryID, bool) {
			return t.same(now, drafts[0].Subject, drafts[0].Data, since)
		},
		func() (journal.EntryID, error) {
			entries, err := w.Store.AppendAll(ctx, drafts)
			if len(entries) == 0 {
				return journal.EntryID{}, err
			}
			return entries[len(entries)-1].ID, err
		})
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if _, err := w.Live.Await(ctx, struck); err != nil {
		w.Logger.WarnContext(ctx, "show what was struck", "entry", struck, "error", err)
	}
	return nil
}

// late says why a stamp stands.
func (w *Writer) late(rw http.ResponseWriter, r *http.Request, l *record.Line, why string) {
	snap := w.Live.View(r.Context())
	was := w.line(snap.Shop, l)
	p := latePage{Why: words.Sentence(why), Was: &was, Correct: was.Correct}
	w.page(rw, r, http.StatusConflict, "late", snap, pages.View{Title: "Not taken back", Data: p})
}
