package bench

import (
	"net/http"
	"net/url"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// pinPage is where whoever works here changes a PIN: their own, or who owns the shop
// anybody's.
type pinPage struct {
	ID       journal.PersonID
	Initials string
	Has      bool
	Others   []*record.Person // whose PIN it may be too
	Of       journal.PersonID // as it was chosen
	Set      string           // initials of whose was set just now
	Problem  string
}

func (b *Bench) pin(w http.ResponseWriter, r *http.Request) {
	if p, ok := b.changeable(w, r); ok {
		for _, one := range append(slices.Clip(p.Others), b.person(r, p.ID)) {
			if one != nil && string(one.ID) == r.URL.Query().Get("set") {
				p.Set = one.Stated.Initials
			}
		}
		b.show(w, r, http.StatusOK, "pin", pages.View{Title: "PIN", Data: p})
	}
}

func (b *Bench) person(r *http.Request, id journal.PersonID) *record.Person {
	for _, p := range b.Live.View(r.Context()).Shop.Staff() {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// changeable asks who works here first.
func (b *Bench) changeable(w http.ResponseWriter, r *http.Request) (p pinPage, ok bool) {
	one := b.person(r, b.By(r))
	if one == nil {
		http.Redirect(w, r, "/who?back="+url.QueryEscape("/pin"), http.StatusSeeOther)
		return p, false
	}
	p = pinPage{ID: one.ID, Initials: one.Stated.Initials, Of: journal.PersonID(r.FormValue("of"))}
	var err error
	if p.Has, err = b.PINs.Has(one.ID); err != nil {
		b.Logger.ErrorContext(r.Context(), "look for a PIN", "error", err)
		p.Problem = "The PINs cannot be read now; the log on this machine says why."
	}
	shop := b.Live.View(r.Context()).Shop
	if slices.ContainsFunc(shop.Owners(), func(o *record.Person) bool { return o.ID == one.ID }) {
		p.Others = slices.DeleteFunc(shop.Staff(), func(o *record.Person) bool { return o.ID == one.ID })
	}
	return p, true
}

func (b *Bench) changePIN(w http.ResponseWriter, r *http.Request) {
	p, ok := b.changeable(w, r)
	if !ok {
		return
	}
	of := p.Of
	if of == "" {
		of = p.ID
	}
	switch may := of == p.ID || slices.ContainsFunc(p.Others, func(o *record.Person) bool { return o.ID == of }); {
	case !may:
		p.Problem = "Only the owner of the shop gives somebody else a PIN."
	case r.FormValue("again") != r.FormValue("new"):
		p.Problem = "The two new PINs differ; type the same one twice."
	default:
		if err := b.PINs.Change(r.Context(), p.ID, of, r.FormValue("pin"), r.FormValue("new")); err != nil {
			b.Logger.WarnContext(r.Context(), "a PIN is not changed", "person", of, "by", p.ID, "error", err)
			p.Problem = words.Sentence(err.Error())
		}
	}
	if p.Problem != "" {
		b.show(w, r, http.StatusUnprocessableEntity, "pin", pages.View{Title: "PIN", Data: p})
		return
	}
	http.Redirect(w, r, "/pin?set="+url.QueryEscape(string(of)), http.StatusSeeOther)
}
