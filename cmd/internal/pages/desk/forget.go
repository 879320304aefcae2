package desk

import (
	"net/http"
	"net/url"

	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
)

// forgetting asks whether what is on a card is to be forgotten, and why.
type forgetting struct {
	customer
	Works           bool // it is the card of somebody who works here
	Back            string
	Reason, Problem string
}

func forgetPath(id journal.CardID) string { return "/forget/" + url.PathEscape(string(id)) }

func (d *Desk) askForget(w http.ResponseWriter, r *http.Request) {
	if f, ok := d.forgettable(w, r); ok {
		d.asks(w, r, http.StatusOK, "forget", "Forget what is on a card", f)
	}
}

// forgettable finds the card that a request is about, if there is anything on
// it still.
func (d *Desk) forgettable(w http.ResponseWriter, r *http.Request) (forgetting, bool) {
	s := d.Live.View(r.Context())
	id := journal.CardID(r.PathValue("card"))
	f := forgetting{Back: "/vehicles"}
	known := s.Case(journal.Of("card", string(id))) != nil
	for _, l := range s.Cites(journal.Of("card", string(id))) {
		if j := s.Job(l.Subject.Job()); j != nil && j.Customer != nil && j.Customer.Card == id {
			known, f.Back = true, readonly.JobPath(j.ID)
		}
	}
	for _, p := range s.Shop.People {
		if p.Stated != nil && p.Stated.Card == id {
			f.Works, f.Back = true, "/people"
		}
	}
	if !known {
		d.missing(w, r, "There is no card of that name here.")
		return f, false
	}
	if f.customer = d.customer(r.Context(), id); f.Forget == "" {
		d.missing(w, r, f.Says)
		return f, false
	}
	return f, true
}

func (d *Desk) forget(w http.ResponseWriter, r *http.Request) {
	f, ok := d.forgettable(w, r)
	if !ok {
		return
	}
	if f.Reason, f.Problem = reasonOf(r.FormValue("reason")); f.Problem == "" {
		_, err := d.write(r, journal.Draft{Subject: journal.Of("card", string(f.Card)), By: d.by(r), Data: &journal.CardErasing{Card: f.Card, Reason: f.Reason}})
		if err != nil {
			d.Logger.WarnContext(r.Context(), "erase a customer card", "card", f.Card, "error", err)
			f.Problem = "The card could not be erased for good: " + err.Error() + "."
		}
	}
	if f.Problem != "" {
		d.asks(w, r, http.StatusUnprocessableEntity, "forget", "Forget what is on a card", f)
		return
	}
	http.Redirect(w, r, f.Back, http.StatusSeeOther)
}
