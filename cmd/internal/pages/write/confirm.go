package write

import (
	"fmt"
	"net/http"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// confirming is what a form asks of whoever stamps it, beside what is written.
type confirming struct {
	Initials string
	Typed    bool
	Wrong    string // why it did not do
}

// confirms is by what a stamp about something is confirmed, "" where the card of the job
// does not want it, or nobody can.
func (w *Writer) confirms(s *live.Snapshot, about journal.Subject, kind journal.Kind) journal.Confirmation {
	if w.Confirm == nil || !s.Confirms(about.Job(), kind) {
		return ""
	}
	return w.Confirm.By
}

// confirm says why whoever stamps has not shown that it is them; "" if they have, or
// need not. To strike out without replacement nobody has to.
func (w *Writer) confirm(r *http.Request, t *task, in *posted) string {
	if t.confirms == "" || in.do != saveDo {
		return ""
	}
	err := w.Confirm.Check(r, t.by, in.pin)
	if err == nil {
		return ""
	}
	w.Logger.WarnContext(r.Context(), "a stamp is not confirmed", "person", t.by, "kind", t.kind, "error", err)
	return words.Sentence(err.Error())
}

// asksPIN is what a form asks; nil if nothing. Where nothing is typed, what is wrong is
// said before the stamp.
func (w *Writer) asksPIN(r *http.Request, t *task, st *state) *confirming {
	if t.confirms == "" {
		return nil
	}
	c := &confirming{Initials: t.snap.Shop.Initials(t.by), Typed: w.Confirm.Typed, Wrong: st.unconfirmed}
	if !c.Typed && c.Wrong == "" {
		if err := w.Confirm.Check(r, t.by, ""); err != nil {
			c.Wrong = words.Sentence(err.Error())
		}
	}
	return c
}

// Says is why it is asked.
func (c *confirming) Says() string {
	if c.Typed {
		return fmt.Sprintf("The route card of this job wants this confirmed by %s.", c.Initials)
	}
	return fmt.Sprintf("The route card of this job wants this confirmed. The record will say that %s signed in at the desk with a passphrase.", c.Initials)
}
