package bench

import (
	"context"
	"net/http"
	"net/url"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Keys are those by which this tablet knows its hub. An error is a sentence for
// the person.
type Keys interface {
	// Weigh reads what is asked; nothing is written.
	Weigh(ctx context.Context, text string) (Asked, error)
	// Agree agrees to it, if the new keys have the fingerprint that was typed.
	Agree(ctx context.Context, text, fingerprint string, by journal.PersonID) error
}

// Asked is what a hub that lost its keys asks of a tablet.
type Asked struct {
	Because  journal.KeyReason
	Old, New string // the beginnings of the fingerprints
	Made     time.Time
}

// keysPage is where somebody agrees that a hub with new keys goes on.
type keysPage struct {
	Text, Print string // as they were given
	Asked       *Asked // nil until it was read
	Made        string
	Agreed      bool
	Problem     string
}

func (b *Bench) hubKeys(w http.ResponseWriter, r *http.Request) {
	if b.Keys == nil {
		b.missing(w, r, "This machine is the hub itself, so there is nothing to agree to here.")
		return
	}
	b.showKeys(w, r, http.StatusOK, keysPage{Agreed: r.URL.Query().Has("agreed")})
}

func (b *Bench) showKeys(w http.ResponseWriter, r *http.Request, status int, d keysPage) {
	b.show(w, r, status, "keys", pages.View{Title: "New keys of the hub", Data: d})
}

// agreeKeys shows what is asked, and once a fingerprint is typed agrees to it.
func (b *Bench) agreeKeys(w http.ResponseWriter, r *http.Request) {
	if b.Keys == nil {
		b.hubKeys(w, r)
		return
	}
	if b.Phones.Is(r) {
		b.notByPhone(w, r)
		return
	}
	one := b.person(r, b.By(r))
	if one == nil {
		http.Redirect(w, r, "/who?back="+url.QueryEscape("/hub-keys"), http.StatusSeeOther)
		return
	}
	d := keysPage{Text: r.FormValue("text"), Print: r.FormValue("fingerprint")}
	asked, err := b.Keys.Weigh(r.Context(), d.Text)
	if err == nil {
		d.Asked, d.Made = &asked, b.Live.View(r.Context()).Shop.Writing().Zoned(asked.Made)
		if d.Print == "" {
			b.showKeys(w, r, http.StatusOK, d)
			return
		}
		err = b.Keys.Agree(r.Context(), d.Text, d.Print, one.ID)
	}
	if err != nil {
		b.Logger.WarnContext(r.Context(), "new keys of the hub are not agreed to", "by", one.ID, "error", err)
		d.Problem = words.Sentence(err.Error())
		b.showKeys(w, r, http.StatusUnprocessableEntity, d)
		return
	}
	http.Redirect(w, r, "/hub-keys?agreed", http.StatusSeeOther)
}
