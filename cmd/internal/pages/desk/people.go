package desk

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// peoplePage is who works here, and with which tablets.
type peoplePage struct {
	Stopped bool   // nothing is taken in, the disk is full
	First   bool   // the shop has just begun: the first tablet is to be invited
	Bench   string // of this machine, for its own browser; "" if it has none
	People  []personRow
	Add     string
	Tablets []tabletRow
	Outside *outsideRow
	Copies  *copiesRow
	Room    string   // how much room photographs take
	Soon    bool     // it is soon gone
	Place   string   // page that says where tablets find the hub; "" if that is not told here
	Apart   []string // what could not be verified, a sentence for each sender
	Missing []string // what no machine brought, a sentence for each
	Idle    string   // of which logs something counts for nothing
	Failed  []string // who tried to sign in and could not, a sentence for each
	Trouble string   // why the tablets cannot be told
	Name    string   // as typed for an invitation
	Problem string
}

type personRow struct {
	ID       journal.PersonID
	Initials string
	Duties   string
	Retired  bool
	Name     string // in full, as the card beside the journal has it
	Signs    string // in at the desk, by what
	Secret   string // page that sets the passphrase
	Call     string // page that writes the name down
	Change   string // page that states the duties anew
	Retire   string // page that retires the person
}

func (d *Desk) people(w http.ResponseWriter, r *http.Request) {
	p := d.newPeoplePage(r)
	d.reads(w, r, d.Live.View(r.Context()), "people", "People and tablets", p)
}

func (d *Desk) newPeoplePage(r *http.Request) peoplePage {
	s := d.Live.View(r.Context())
	p := peoplePage{Stopped: d.stopped(), First: r.URL.Query().Get("first") != "", Add: adding(journal.PersonAdded), Idle: idleSum(s), Bench: d.benchFor(r)}
	own, err := d.Keys.Own()
	if err != nil {
		d.Logger.ErrorContext(r.Context(), "look who has a passphrase", "error", err)
	}
	for _, one := range s.Shop.People {
		row := newPersonRow(one, s.NameOf(one.ID, d.Cards))
		if one.Stated != nil && !one.Retired {
			row.Signs, row.Secret = signs(own, one.ID), passphrasePath(one.ID)
		}
		p.People = append(p.People, row)
	}
	p.Failed = d.failed(s)
	if d.Witnessed != nil {
		w, err := d.Witnessed(r.Context())
		if err != nil {
			d.Logger.WarnContext(r.Context(), "read who witnessed the log", "error", err)
		}
		p.Outside = newOutsideRow(w, err == nil, s.Shop.Writing())
	}
	p.Copies, p.Missing = d.copies(r.Context()), d.lacks(r.Context(), s)
	if d.Room != nil {
		var err error
		if p.Room, p.Soon, err = d.Room(r.Context()); err != nil {
			d.Logger.WarnContext(r.Context(), "measure the photographs", "error", err)
		}
	}
	if d.Places != nil {
		p.Place = placePath
	}
	if p.Apart, err = d.apart(r.Context(), s); err != nil {
		d.Logger.WarnContext(r.Context(), "read what could not be verified", "error", err)
	}
	if p.Tablets, err = d.tablets(r.Context(), s); err != nil {
		d.Logger.WarnContext(r.Context(), "ask for the tablets", "error", err)
		p.Trouble = "The state of the tablets cannot be shown now; the log on this machine says why."
	}
	return p
}

func newPersonRow(one *record.Person, name string) personRow {
	row := personRow{ID: one.ID, Initials: string(one.ID), Duties: "not on the register yet: entries name this person", Retired: one.Retired, Name: name}
	if one.Stated == nil {
		return row
	}
	about := journal.Of("person", string(one.ID))
	row.Initials = one.Stated.Initials
	var duties []string
	for _, duty := range one.Stated.Duties {
		duties = append(duties, string(duty))
	}
	row.Duties = "nothing stated"
	if len(duties) > 0 {
		row.Duties = strings.Join(duties, ", ")
	}
	if !one.Retired || one.Stated.Card != "" {
		row.Call = namePath(one.ID)
	}
	if !one.Retired {
		row.Change = readonly.WritePath(journal.PersonAdded, about)
		row.Retire = readonly.WritePath(journal.PersonRetired, about, "person", string(one.ID))
	}
	return row
}

// signs says by what somebody signs in at the desk.
func signs(own map[journal.PersonID]bool, who journal.PersonID) string {
	switch {
	case len(own) == 0:
		return "with the desk’s passphrase"
	case own[who]:
		return "by name"
	}
	return "cannot sign in"
}

// failed says of each who tried to sign in and could not.
func (d *Desk) failed(s *live.Snapshot) (list []string) {
	for _, f := range d.Keys.Failed() {
		who := "Somebody"
		if f.Who != "" {
			who = s.Shop.Initials(f.Who)
		}
		last := s.Shop.Writing().Moment(f.Last.In(d.Now().Location()))
		list = append(list, fmt.Sprintf("%s, from %s: %s without the right passphrase, last on %s%s.", who, f.From, words.Count(f.Tries, "try"), last, words.If(f.Waits, "; further tries have to wait")))
	}
	return list
}

// apart says of each sender what of his lies apart.
func (d *Desk) apart(ctx context.Context, s *live.Snapshot) (list []string, err error) {
	if d.Apart == nil {
		return nil, nil
	}
	all, err := d.Apart.Apart(ctx)
	for _, u := range all {
		from := "A sender who is not known"
		if u.Device != "" {
			from = "Tablet " + string(u.Device)
			for _, dev := range s.Shop.Devices {
				if dev.ID == u.Device && dev.Stated != nil {
					from = dev.Stated.Name
				}
			}
		}
		list = append(list, s.Shop.Writing().Sprintf("%s: %s, %.1f MB, the newest of %s: %s.", from, words.Count(u.Messages, "message"), float64(u.Bytes)/1e6, s.Shop.Writing().Moment(u.Newest.In(d.Now().Location())), u.Reason))
	}
	return list, err
}

func (d *Desk) throwAway(w http.ResponseWriter, r *http.Request) {
	if err := d.Apart.ThrowAway(r.Context()); err != nil {
		d.Logger.WarnContext(r.Context(), "throw away what could not be verified", "error", err)
		p := d.newPeoplePage(r)
		p.Trouble = "Nothing was thrown away: " + err.Error() + "."
		d.asks(w, r, http.StatusInternalServerError, "people", "People and tablets", p)
		return
	}
	http.Redirect(w, r, "/people", http.StatusSeeOther)
}

// invitation is a page that one tablet is to read, once.
type invitation struct {
	Shop, Name, Text string
	QR               pages.QR
	Expires          time.Time
	Writing          words.Writing
	NoQR             string
}

func (d *Desk) invite(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimSpace(r.FormValue("name"))
	problem := ""
	switch n := len([]rune(name)); {
	case n == 0:
		problem = "Give the tablet a name, such as bench 1; it appears on its entries."
	case n > journal.MaxName:
		problem = fmt.Sprintf("The name has %d characters; at most %d are allowed. Shorten it.", n, journal.MaxName)
	}
	var text string
	var expires time.Time
	if problem == "" {
		var err error
		if text, expires, err = d.Hub.Invite(r.Context(), d.by(r), name); err != nil {
			d.Logger.WarnContext(r.Context(), "invite a tablet", "error", err)
			problem = "No invitation was made: " + err.Error() + "."
		}
	}
	if problem != "" {
		p := d.newPeoplePage(r)
		p.Name, p.Problem = name, problem
		d.asks(w, r, http.StatusUnprocessableEntity, "people", "People and tablets", p)
		return
	}
	i := invitation{Shop: d.Live.View(r.Context()).Shop.Name, Name: name, Text: text, Expires: expires, Writing: d.Live.View(r.Context()).Shop.Writing()}
	var err error
	if i.QR, err = pages.DrawQR(text); err != nil {
		d.Logger.WarnContext(r.Context(), "draw an invitation", "error", err)
		i.NoQR = "This invitation is too long for a QR code; copy its text instead."
	}
	d.asks(w, r, http.StatusOK, "invited", "Invitation", i)
}

// revocation asks whether a tablet is to be cut off, and why.
type revocation struct {
	Tablet          tabletRow
	Reason, Problem string
}

func (d *Desk) askRevoke(w http.ResponseWriter, r *http.Request) {
	if t, ok := d.working(w, r); ok {
		d.asks(w, r, http.StatusOK, "revoke", "Revoke a tablet", revocation{Tablet: t})
	}
}

func (d *Desk) revoke(w http.ResponseWriter, r *http.Request) {
	t, ok := d.working(w, r)
	if !ok {
		return
	}
	reason, problem := reasonOf(r.FormValue("reason"))
	if problem == "" {
		if err := d.Hub.Revoke(r.Context(), d.by(r), t.Device, reason); err != nil {
			d.Logger.WarnContext(r.Context(), "revoke a tablet", "device", t.Device, "error", err)
			problem = "The revocation was not written: " + err.Error() + "."
		}
	}
	if problem != "" {
		d.asks(w, r, http.StatusUnprocessableEntity, "revoke", "Revoke a tablet", revocation{Tablet: t, Reason: reason, Problem: problem})
		return
	}
	http.Redirect(w, r, "/people", http.StatusSeeOther)
}

// working finds the tablet that a request is about, if it may still write.
func (d *Desk) working(w http.ResponseWriter, r *http.Request) (tabletRow, bool) {
	list, err := d.tablets(r.Context(), d.Live.View(r.Context()))
	if err != nil {
		d.Logger.WarnContext(r.Context(), "ask for the tablets", "error", err)
		d.missing(w, r, "The state of the tablets cannot be shown now; the log on this machine says why.")
		return tabletRow{}, false
	}
	for _, t := range list {
		if string(t.Device) != r.PathValue("device") {
			continue
		}
		if t.Gone != "" {
			d.missing(w, r, t.Gone)
			return t, false
		}
		return t, true
	}
	d.missing(w, r, "No tablet of that name has joined this shop.")
	return tabletRow{}, false
}
