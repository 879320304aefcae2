package bench

import (
	"net/http"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// whoPage asks who works at this browser.
type whoPage struct {
	People  []*record.Person
	By      journal.PersonID
	Back    string
	Problem string
}

func (b *Bench) who(w http.ResponseWriter, r *http.Request) {
	b.ask(w, r, http.StatusOK, pages.Back(r), "")
}

func (b *Bench) ask(w http.ResponseWriter, r *http.Request, status int, back, problem string) {
	b.show(w, r, status, "who", pages.View{Title: "Tap your name", Data: whoPage{People: b.Live.View(r.Context()).Shop.Staff(), By: b.By(r), Back: back, Problem: problem}})
}

func (b *Bench) setWho(w http.ResponseWriter, r *http.Request) {
	by := journal.PersonID(r.FormValue("by"))
	for _, p := range b.Live.View(r.Context()).Shop.Staff() {
		if p.ID == by {
			b.SetBy(w, r, by)
			http.Redirect(w, r, pages.Back(r), http.StatusSeeOther)
			return
		}
	}
	b.ask(w, r, http.StatusUnprocessableEntity, pages.Back(r), "Tap one of the names. People are added at the hub’s desk.")
}
