package desk

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Welcome puts the pages on their paths that are shown before anybody is
// signed in. To every other path it answers with the way to sign in.
func (d *Desk) Welcome(mux pages.Mux) {
	mux.HandleFunc("GET /signin", d.askSignIn)
	mux.HandleFunc("POST /signin", d.signIn)
	mux.HandleFunc("GET /assets/", d.shell.Assets)
	mux.HandleFunc("GET "+pages.WorkerPath, d.shell.Worker)
}

// Outside is the handler for who is not signed in.
func (d *Desk) Outside() http.Handler {
	mux := http.NewServeMux()
	d.Welcome(mux)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		to := "/signin"
		switch {
		case r.Method != http.MethodGet:
			to += "?out=yes"
		case r.URL.Path != "/live":
			to += "?back=" + url.QueryEscape(r.URL.RequestURI())
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
	})
	return mux
}

// Members lets on who is signed in and works here, and sends out who has left since.
func (d *Desk) Members(inside http.Handler) http.Handler {
	outside := d.Outside()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if d.Gate.SignedIn(r) != "" && d.by(r) == "" {
			outside.ServeHTTP(w, r)
			return
		}
		inside.ServeHTTP(w, r)
	})
}

// signInPage asks for the passphrase.
type signInPage struct {
	Shop, Back, Problem string
	Named               bool   // who it is is asked for too
	Name                string // as it was typed
	Out                 bool   // something was sent by who is not signed in any more
}

func (d *Desk) askSignIn(w http.ResponseWriter, r *http.Request) {
	d.showSignIn(w, r, http.StatusOK, "")
}

// showSignIn shows nothing of the shop but its name.
func (d *Desk) showSignIn(w http.ResponseWriter, r *http.Request, status int, problem string) {
	shop := d.Live.View(r.Context()).Shop.Name
	d.shell.Page(w, r, status, "signin", pages.View{Title: "Sign in", Frame: Frame{Shop: shop, Outside: true},
		Data: signInPage{Shop: shop, Back: pages.Back(r), Problem: problem, Named: d.named(r), Name: strings.TrimSpace(r.FormValue("name")), Out: r.URL.Query().Has("out")}})
}

// named reports whether a name is asked for.
func (d *Desk) named(r *http.Request) bool {
	named, err := d.Gate.Named()
	if err != nil {
		d.Logger.ErrorContext(r.Context(), "look who has a passphrase", "error", err)
	}
	return named || err != nil
}

// called finds who of those who work here was meant by a name: a short name, or initials
// that only one of them has. "" is nobody.
func (d *Desk) called(r *http.Request, name string) journal.PersonID {
	var found []journal.PersonID
	for _, p := range here(d.Live.View(r.Context()).Shop) {
		switch {
		case string(p.ID) == name:
			return p.ID
		case strings.EqualFold(p.Stated.Initials, name), strings.EqualFold(string(p.ID), name):
			found = append(found, p.ID)
		}
	}
	if len(found) != 1 {
		return ""
	}
	return found[0]
}

func (d *Desk) signIn(w http.ResponseWriter, r *http.Request) {
	named, who := d.named(r), journal.PersonID("")
	switch {
	case r.FormValue("passphrase") == "" && !named:
		d.showSignIn(w, r, http.StatusUnprocessableEntity, "Type the desk’s passphrase.")
		return
	case named && (r.FormValue("passphrase") == "" || strings.TrimSpace(r.FormValue("name")) == ""):
		d.showSignIn(w, r, http.StatusUnprocessableEntity, "Type your short name or your initials, and your passphrase.")
		return
	case named:
		who = d.called(r, strings.TrimSpace(r.FormValue("name")))
	}
	if err := d.Gate.SignIn(w, r, who, r.FormValue("passphrase")); err != nil {
		d.showSignIn(w, r, http.StatusUnprocessableEntity, words.Sentence(err.Error()))
		return
	}
	http.Redirect(w, r, pages.Back(r), http.StatusSeeOther)
}

func (d *Desk) signOut(w http.ResponseWriter, r *http.Request) {
	if err := d.Gate.SignOut(w, r); err != nil {
		d.Logger.WarnContext(r.Context(), "sign out", "error", err)
	}
	http.Redirect(w, r, "/signin", http.StatusSeeOther)
}

// whoPage asks who works at this browser.
type whoPage struct {
	People        []*record.Person
	SignedIn      string // initials of who signed in by name: nobody else stamps here
	By            journal.PersonID
	Back, Problem string
}

func (d *Desk) who(w http.ResponseWriter, r *http.Request) { d.askWho(w, r, http.StatusOK, "") }

func (d *Desk) askWho(w http.ResponseWriter, r *http.Request, status int, problem string) {
	shop := d.Live.View(r.Context()).Shop
	if by := d.Gate.SignedIn(r); by != "" {
		d.asks(w, r, status, "who", "Signed in", whoPage{SignedIn: shop.Initials(by)})
		return
	}
	d.asks(w, r, status, "who", "Tap your name", whoPage{People: here(shop), By: d.by(r), Back: pages.Back(r), Problem: problem})
}

func (d *Desk) setWho(w http.ResponseWriter, r *http.Request) {
	if d.Gate.SignedIn(r) != "" {
		d.askWho(w, r, http.StatusForbidden, "")
		return
	}
	by := journal.PersonID(r.FormValue("by"))
	for _, p := range here(d.Live.View(r.Context()).Shop) {
		if p.ID == by {
			d.SetBy(w, r, by)
			http.Redirect(w, r, pages.Back(r), http.StatusSeeOther)
			return
		}
	}
	d.askWho(w, r, http.StatusUnprocessableEntity, "Choose one of the names; people are added under People and tablets.")
}

// here lists the people who work here now, those with the duty desk first.
func here(shop *record.Shop) []*record.Person {
	list := shop.Staff()
	rank := func(p *record.Person) int {
		if slices.Contains(p.Stated.Duties, "desk") {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(list, func(a, b *record.Person) int { return rank(a) - rank(b) })
	return list
}
