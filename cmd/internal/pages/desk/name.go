package desk

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"fettlebook/cmd/internal/staff"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// naming asks for the full name of somebody who works here.
type naming struct {
	Person   journal.PersonID
	Initials string
	Name     string // as it is, or as it was typed
	Write    string // where it goes
	Forget   string // page that erases the card
	Problem  string
}

func namePath(id journal.PersonID) string { return "/people/name/" + url.PathEscape(string(id)) }

func (d *Desk) askName(w http.ResponseWriter, r *http.Request) {
	if n, ok := d.nameable(w, r); ok {
		d.asks(w, r, http.StatusOK, "name", "A full name", n)
	}
}

// nameable finds the person that a request is about.
func (d *Desk) nameable(w http.ResponseWriter, r *http.Request) (naming, bool) {
	s := d.Live.View(r.Context())
	p := s.Shop.Person(journal.PersonID(r.PathValue("person")))
	if p == nil || p.Stated == nil {
		d.missing(w, r, "Nobody of that name is on the register.")
		return naming{}, false
	}
	n := naming{Person: p.ID, Initials: p.Stated.Initials, Name: s.NameOf(p.ID, d.Cards), Write: namePath(p.ID)}
	if n.Name != "" {
		n.Forget = forgetPath(p.Stated.Card)
	}
	return n, true
}

func (d *Desk) name(w http.ResponseWriter, r *http.Request) {
	n, ok := d.nameable(w, r)
	if !ok {
		return
	}
	was := n.Name
	if n.Name = strings.Join(strings.Fields(r.FormValue("name")), " "); n.Name != was || n.Name == "" {
		_, err := staff.Naming{Person: n.Person, Name: n.Name, By: d.by(r)}.Write(r.Context(), waiting{d, r}, d.Live.View(r.Context()).Shop, d.Cards, d.Rand)
		var refused *staff.Refused
		switch {
		case errors.As(err, &refused):
			n.Problem = words.Sentence(words.Capital(refused.Sentence))
		case err != nil:
			d.Logger.WarnContext(r.Context(), "write a card", "person", n.Person, "error", err)
			n.Problem = "The name could not be written down: " + err.Error() + "."
		}
	}
	if n.Problem != "" {
		d.asks(w, r, http.StatusUnprocessableEntity, "name", "A full name", n)
		return
	}
	http.Redirect(w, r, "/people", http.StatusSeeOther)
}

// waiting is the desk's book where who writes waits until the pages show it.
type waiting struct {
	*Desk
	r *http.Request
}

// Append implements [journal.Appender].
func (b waiting) Append(_ context.Context, draft journal.Draft) (*journal.Entry, error) {
	return b.write(b.r, draft)
}

// SaveCard implements newjob.Book.
func (b waiting) SaveCard(ctx context.Context, s journal.CardState) error {
	return b.Book.SaveCard(ctx, s)
}
