package desk

import (
	"errors"
	"net/http"
	"net/url"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/staff"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// giving asks for a passphrase of somebody who works here.
type giving struct {
	Person   journal.PersonID
	Initials string
	Owner    string // initials of whose the desk's passphrase becomes
	Shared   bool   // nobody has one of their own yet
	Has      bool   // this person has one
	Give     string // where it goes
	Away     string // where it is taken away; "" where it cannot be
	Wrong    map[string]string

	owner journal.PersonID
}

// Amiss are the fields for which nothing was set.
func (g giving) Amiss() pages.Amiss {
	return pages.AmissAmong(g.Wrong, pages.Field{ID: "confirm", Label: "Your own passphrase"}, pages.Field{ID: "passphrase", Label: "New passphrase"}, pages.Field{ID: "again", Label: "The same again"}, pages.Field{ID: "away", Label: "Your own passphrase"})
}

func passphrasePath(id journal.PersonID) string {
	return "/people/passphrase/" + url.PathEscape(string(id))
}

func (d *Desk) askPassphrase(w http.ResponseWriter, r *http.Request) {
	if g, ok := d.givable(w, r); ok {
		d.showPassphrase(w, r, http.StatusOK, g)
	}
}

func (d *Desk) showPassphrase(w http.ResponseWriter, r *http.Request, status int, g giving) {
	d.asks(w, r, status, "passphrase", "A passphrase", g)
}

// givable finds the person that a request is about, if whoever asks may give that person
// a passphrase: everybody their own, and an owner anybody's.
func (d *Desk) givable(w http.ResponseWriter, r *http.Request) (giving, bool) {
	shop := d.Live.View(r.Context()).Shop
	staffed := shop.Staff()
	i := slices.IndexFunc(staffed, func(p *record.Person) bool { return string(p.ID) == r.PathValue("person") })
	if i < 0 {
		d.missing(w, r, "Nobody of that name works here.")
		return giving{}, false
	}
	own, err := d.Keys.Own()
	if err != nil {
		d.Logger.ErrorContext(r.Context(), "look who has a passphrase", "error", err)
		d.missing(w, r, "The passphrases cannot be read now; the log on this machine says why.")
		return giving{}, false
	}
	p, by := staffed[i], d.by(r)
	owns := staff.May(shop, by, journal.OwnerDuty)
	if !owns && (by != p.ID || len(own) == 0) {
		d.barred(w, r, words.Sentence(staff.Barred(shop, by, journal.OwnerDuty).Sentence))
		return giving{}, false
	}
	g := giving{Person: p.ID, Initials: p.Stated.Initials, Shared: len(own) == 0, Has: own[p.ID], Give: passphrasePath(p.ID)}
	for _, o := range slices.Backward(shop.Owners()) {
		g.Owner, g.owner = o.Stated.Initials, o.ID
	}
	if g.Has && owns && by != p.ID {
		g.Away = passphrasePath(p.ID) + "/away"
	}
	return g, true
}

func (d *Desk) givePassphrase(w http.ResponseWriter, r *http.Request) {
	g, ok := d.givable(w, r)
	if !ok {
		return
	}
	g.Wrong = make(map[string]string)
	if r.FormValue("again") != r.FormValue("passphrase") {
		g.Wrong["again"] = "The two passphrases differ; type the same one twice."
	} else if err := d.Keys.Give(w, r, g.Person, g.owner, r.FormValue("confirm"), r.FormValue("passphrase")); err != nil {
		g.Wrong[amiss(err, "confirm", "passphrase")] = words.Sentence(err.Error())
	}
	if len(g.Wrong) > 0 {
		d.showPassphrase(w, r, http.StatusUnprocessableEntity, g)
		return
	}
	http.Redirect(w, r, "/people", http.StatusSeeOther)
}

func (d *Desk) takePassphrase(w http.ResponseWriter, r *http.Request) {
	g, ok := d.givable(w, r)
	if !ok {
		return
	}
	if g.Away == "" {
		d.missing(w, r, "This passphrase cannot be taken away here: only an owner takes it from somebody else.")
		return
	}
	if err := d.Keys.TakeAway(r, g.Person, r.FormValue("confirm")); err != nil {
		g.Wrong = map[string]string{"away": words.Sentence(err.Error())}
		d.showPassphrase(w, r, http.StatusUnprocessableEntity, g)
		return
	}
	http.Redirect(w, r, "/people", http.StatusSeeOther)
}

// amiss is the field that an error is about: the one for the passphrase of whoever asks,
// or another.
func amiss(err error, confirm, other string) string {
	if wrong := (*WrongConfirm)(nil); errors.As(err, &wrong) {
		return confirm
	}
	return other
}
