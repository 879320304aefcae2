package bench

import (
	"cmp"
	"net/http"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal/words"
)

// pairPage lets a telephone in.
type pairPage struct {
	On      bool // telephones can reach the pages
	Offer   Offer
	QR      pages.QR
	Phones  []Phone
	Writing words.Writing
	Problem string
	Minutes int
}

func (b *Bench) pair(w http.ResponseWriter, r *http.Request) {
	b.phones(w, r, http.StatusOK, nil)
}

// phones shows how a telephone is let in, with what went wrong when that was switched.
func (b *Bench) phones(w http.ResponseWriter, r *http.Request, status int, trouble error) {
	if b.Phones.Is(r) {
		b.notByPhone(w, r)
		return
	}
	d := pairPage{On: b.Phones.On(), Phones: b.Phones.List(), Writing: b.Live.View(r.Context()).Shop.Writing()}
	if d.On {
		var err error
		if d.Offer, err = b.Phones.Offer(); err == nil && len(d.Offer.Links) > 0 {
			d.QR, err = pages.DrawQR(d.Offer.Links[0])
			d.Minutes = int(d.Offer.Until.Sub(b.Now()).Round(time.Minute).Minutes())
		}
		trouble = cmp.Or(trouble, err)
	}
	if trouble != nil {
		d.Problem = words.Sentence(trouble.Error())
	}
	b.show(w, r, status, "pair", pages.View{Title: "Use a phone", Data: d})
}

// setPhones switches the way for telephones on or off, or forgets one of them.
func (b *Bench) setPhones(w http.ResponseWriter, r *http.Request) {
	if b.Phones.Is(r) {
		b.notByPhone(w, r)
		return
	}
	if turn := r.FormValue("turn"); turn != "" {
		if err := b.Phones.Turn(r.Context(), turn == "on"); err != nil {
			b.Logger.ErrorContext(r.Context(), "let phones in, or keep them away", "turn", turn, "error", err)
			b.phones(w, r, http.StatusInternalServerError, err)
			return
		}
		http.Redirect(w, r, "/pair", http.StatusSeeOther)
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
