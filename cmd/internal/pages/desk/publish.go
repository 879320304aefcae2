package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// cardPage is the text of a card being written.
type cardPage struct {
	Text     string
	Mistakes card.Mistakes
	Problem  string
	// Card and Checked are set when the text was checked and may be published;
	// Checked is the hash of the text that was.
	Card    *card.Card
	Checked string
	Against string // the edition that Changes start from
	Changes []card.Change
	// Because is the investigation that the card comes out of, if it is one;
	// Reasons are those to choose from.
	Because string
	Reasons []option
}

// option is an answer to choose.
type option struct {
	Value, Says string
	On          bool
}

// mostReasons is how many investigations are to choose from, the newest.
const mostReasons = 40

// because offers the investigations that a card can come out of. One that was
// named is among them however old it is; anything else that was named is not.
func (p *cardPage) because(s *live.Snapshot, named string) {
	for _, l := range s.Investigations() {
		i, ok := l.Effect().(*journal.Investigation)
		on := l.ID.String() == named
		if !ok || !on && len(p.Reasons) >= mostReasons {
			continue
		}
		if on {
			p.Because = named
		}
		p.Reasons = append(p.Reasons, option{l.ID.String(), words.Commas(words.Capital(i.Matter), l.Writing().Day(time.Time(l.Clocks.Device)), s.Initials(l.By)), on})
	}
}

// editRoute offers a copy of the newest edition under the number of the next.
func (d *Desk) editRoute(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	name := journal.RouteID(r.PathValue("name"))
	var text string
	held := newestEdition(s.Shop, name)
	if held != nil && r.URL.Query().Get("supplied") == "" {
		text = held.Text
	} else if supplied, err := card.Supplied(name); err == nil {
		text = supplied
	} else {
		d.missing(w, r, fmt.Sprintf("There is no route card %s to start from; look at the list of route cards.", name))
		return
	}
	if held != nil {
		text = renumber(text, held.Edition+1)
	}
	p := cardPage{Text: text}
	p.because(s, r.URL.Query().Get("because"))
	d.asks(w, r, http.StatusOK, "cardtext", "Write a route card", p)
}

// renumber puts another edition into the text of a card.
func renumber(text string, edition int) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, "edition:") {
			lines[i] = fmt.Sprintf("edition: %d", edition)
		}
	}
	return strings.Join(lines, "\n")
}

// newestEdition is the published edition of a card with the highest number.
func newestEdition(shop *record.Shop, name journal.RouteID) *journal.RouteCard {
	for _, one := range shop.Routes {
		if list := published(one); one.ID == name && len(list) > 0 {
			return list[0].Effect().(*journal.RouteCard)
		}
	}
	return nil
}

// checked reads what was typed and holds it against what was published.
func (d *Desk) checked(w http.ResponseWriter, r *http.Request) (cardPage, bool) {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<20)
	p := cardPage{Text: strings.ReplaceAll(r.FormValue("text"), "\r\n", "\n")}
	named := r.FormValue("because")
	if p.because(d.Live.View(r.Context()), named); named != p.Because {
		p.Problem = "The investigation that the card was to come out of is not here, or was struck out. Choose another one, or none."
		return p, false
	}
	if n := len([]rune(p.Text)); n > journal.MaxCardText {
		p.Problem = fmt.Sprintf("The text has %d characters; a card has at most %d. Shorten it.", n, journal.MaxCardText)
		return p, false
	}
	if strings.TrimSpace(p.Text) == "" {
		p.Problem = "The text is empty; start from a copy of an existing card."
		return p, false
	}
	read, err := card.Parse(p.Text)
	if err != nil {
		if !errors.As(err, &p.Mistakes) {
			p.Problem = words.Sentence(err.Error())
		}
		return p, false
	}
	if held := newestEdition(d.Live.View(r.Context()).Shop, read.Name); held != nil {
		if read.Edition <= held.Edition {
			p.Problem = fmt.Sprintf("Edition %d of %s has already been published and never changes; give this one the number %d or a higher one.", held.Edition, read.Name, held.Edition+1)
			return p, false
		}
		// An old edition that this version cannot read is not a reason to refuse a new one.
		if was, err := card.ParseHeld(held.Text); err == nil {
			p.Against, p.Changes = fmt.Sprintf("edition %d", held.Edition), card.Diff(was, read)
		}
	}
	sum := sha256.Sum256([]byte(p.Text))
	p.Card, p.Checked = read, hex.EncodeToString(sum[:])
	return p, true
}

func (d *Desk) checkRoute(w http.ResponseWriter, r *http.Request) {
	p, ok := d.checked(w, r)
	status := http.StatusOK
	if !ok {
		status = http.StatusUnprocessableEntity
	}
	d.asks(w, r, status, "cardtext", "Write a route card", p)
}

// publishRoute publishes exactly the text whose changes were looked at.
func (d *Desk) publishRoute(w http.ResponseWriter, r *http.Request) {
	p, ok := d.checked(w, r)
	if ok && r.FormValue("checked") != p.Checked {
		p.Problem, ok = "This text has not been checked yet, or has been changed since. Look at what changes, then publish it.", false
	}
	if ok {
		publish := &journal.RouteCard{Route: p.Card.Name, Edition: p.Card.Edition, Text: p.Card.Text()}
		if p.Because != "" {
			publish.Because, _ = journal.ParseEntryID(p.Because) // it is that of an entry that is here
		}
		_, err := d.write(r, journal.Draft{Subject: journal.Of("route", string(p.Card.Name)), By: d.by(r), Data: publish})
		if err == nil {
			http.Redirect(w, r, "/routes/"+url.PathEscape(string(p.Card.Name)), http.StatusSeeOther)
			return
		}
		d.Logger.WarnContext(r.Context(), "publish a route card", "card", p.Card.Name, "error", err)
		p.Problem = "The card was not published: " + err.Error() + "."
	}
	d.asks(w, r, http.StatusUnprocessableEntity, "cardtext", "Write a route card", p)
}
