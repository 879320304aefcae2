package bench

import (
	"net/http"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal/words"
)

// pairPage lets a telephone in.
type pairPage struct {
	Closed  bool // the pages stay on this machine
	Offer   Offer
	QR      pages.QR
	Phones  []Phone
	Problem string
	Minutes int
}

func (b *Bench) pair(w http.ResponseWriter, r *http.Request) {
	if b.Phones != nil && b.Phones.Is(r) {
		b.notByPhone(w, r)
		return
	}
	d := pairPage{Closed: b.Phones == nil}
	if !d.Closed {
		d.Phones = b.Phones.List()
		var err error
		if d.Offer, err = b.Phones.Offer(); err == nil && len(d.Offer.Links) > 0 {
			d.QR, err = pages.DrawQR(d.Offer.Links[0])
			d.Minutes = int(d.Offer.Until.Sub(b.Now()).Round(time.Minute).Minutes())
		}
		if err != nil {
			d.Problem = words.Sentence(err.Error())
		}
	}
	b.show(w, r, http.StatusOK, "pair", pages.View{Title: "Use a phone", Data: d})
}

func (b *Bench) forget(w http.ResponseWriter, r *http.Request) {
	switch {
	case b.Phones == nil:
		b.missing(w, r, "No phone uses this tablet.")
		return
	case b.Phones.Is(r):
		b.notByPhone(w, r)
		return
	}
	if err := b.Phones.Forget(r.FormValue("forget")); err != nil {
		b.Logger.WarnContext(r.Context(), "forget a phone", "error", err)
		b.missing(w, r, "This phone is not known here any more. Pair it again at the tablet.")
		return
	}
	http.Redirect(w, r, "/pair", http.StatusSeeOther)
}

// notByPhone keeps telephones from letting others in and putting others out.
func (b *Bench) notByPhone(w http.ResponseWriter, r *http.Request) {
	b.show(w, r, http.StatusForbidden, "missing", pages.View{Title: "At the tablet only", Data: "Phones are let in and removed at the tablet itself."})
}

// knockPage is what a telephone sees that followed a pairing code.
type knockPage struct {
	Code, Name, Problem string
	Out                 bool // a page was asked for that only phones see which are let in
}

func (b *Bench) knock(w http.ResponseWriter, r *http.Request) {
	code := r.PathValue("code")
	if code == "code" { // the page to type the short code into
		code = ""
	}
	b.shell.Page(w, r, http.StatusOK, "knock", pages.View{Title: "Use this phone", Frame: Frame{}, Data: knockPage{Code: code, Out: r.URL.Query().Has("out")}})
}

func (b *Bench) enter(w http.ResponseWriter, r *http.Request) {
	code, name := r.FormValue("code"), r.FormValue("name")
	if err := b.Phones.Redeem(w, r, code, name); err != nil {
		b.shell.Page(w, r, http.StatusUnprocessableEntity, "knock", pages.View{Title: "Use this phone", Frame: Frame{},
			Data: knockPage{Code: code, Name: name, Problem: words.Sentence(err.Error())}})
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}
