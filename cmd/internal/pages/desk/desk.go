// Package desk is the hub's pages: what is on hand and what comes next, the
// record of each vehicle, what stands on the shelf and what it touched, who
// works here and with which tablets, the shop's route cards, and what was
// promised to customers. Entries are written on package write's pages; here
// they are only led to.
//
//	d := desk.New(desk.Config{Live: l, Hub: hub, Cards: db, Book: house, …})
//	shell, err := pages.New(options, desk.Templates(), readonly.Templates(), write.Templates(), …)
//	d.Show(shell)
//	d.Routes(inside)        // for who is signed in
//	outside := d.Outside()  // for everybody else
package desk

import (
	"context"
	"embed"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/paper"
	"fettlebook/cmd/internal/staff"
	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"
	"fettlebook/journal/recur"
	"fettlebook/journal/words"
)

//go:embed html/*.html
var templates embed.FS

// Templates are the pages of the desk. They use the templates of package readonly.
func Templates() fs.FS { return templates }

// Tablet is what the hub knows of a tablet beside the record.
type Tablet struct {
	Device        journal.DeviceID
	Heard         time.Time // when it last spoke to the hub; zero if not since the hub was started
	Entries       int64     // of its log, here
	Countersigned int64     // of these, under the hub's signature
	CutOff        CutOff    // the zero value where it is let in
}

// CutOff is until when a tablet is not let in that sent more than work ever does, and what
// that was.
type CutOff struct {
	Until time.Time
	Why   string
}

// Hub is what the desk asks the hub to do.
type Hub interface {
	Tablets(ctx context.Context) ([]Tablet, error)
	// Invite makes an invitation with which one tablet can join. The text is
	// what is typed or scanned there.
	Invite(ctx context.Context, by journal.PersonID, name string) (text string, expires time.Time, err error)
	// Revoke writes that a tablet may write no more, and cuts it off.
	Revoke(ctx context.Context, by journal.PersonID, device journal.DeviceID, reason string) error
}

// Apart is what came in and could not be verified.
type Apart interface {
	Apart(ctx context.Context) ([]Unverified, error)
	// ThrowAway throws it away, but for what proves that a log has two histories.
	ThrowAway(ctx context.Context) error
}

// Unverified is what one tablet sent, or nobody that is known, and could not be verified.
type Unverified struct {
	Device   journal.DeviceID // "" where nobody was proven to have sent it
	Messages int
	Bytes    int64
	Newest   time.Time
	Reason   string // of the newest
}

// Cards gives a customer's card: journal.ErrCardErased if it was erased.
type Cards interface {
	Card(ctx context.Context, card journal.CardID) (journal.Card, error)
}

// Gate lets a browser in and out again.
type Gate interface {
	// Named reports whether people sign in by their names, each with a passphrase of
	// their own; else there is one, the desk's.
	Named() (bool, error)
	// SignIn checks the passphrase and sets the cookie of a session. who is "" where
	// nobody of that name works here. The error is a sentence for the person.
	SignIn(w http.ResponseWriter, r *http.Request, who journal.PersonID, passphrase string) error
	SignOut(w http.ResponseWriter, r *http.Request) error
	// SignedIn is who signed in by name, "" where nobody did.
	SignedIn(r *http.Request) journal.PersonID
}

// Passphrases are those of the people.
type Passphrases interface {
	// Own tells who has a passphrase of their own.
	Own() (map[journal.PersonID]bool, error)
	// Give gives somebody one. confirm is the passphrase of whoever gives it. The error
	// is a sentence for the person: a [WrongConfirm] if it is about confirm.
	Give(w http.ResponseWriter, r *http.Request, who, owner journal.PersonID, confirm, passphrase string) error
	TakeAway(r *http.Request, who journal.PersonID, confirm string) error
	// Failed lists who tried to sign in and could not, the newest first.
	Failed() []FailedSignIn
}

// WrongConfirm says that whoever gives a passphrase has typed a wrong one of their own.
type WrongConfirm struct{ Err error }

func (e *WrongConfirm) Error() string { return e.Err.Error() }
func (e *WrongConfirm) Unwrap() error { return e.Err }

// FailedSignIn is that somebody tried to sign in and could not.
type FailedSignIn struct {
	Who   journal.PersonID // "" where nobody of that name works here, or no name was asked for
	From  string           // the address
	Tries int              // since the hub was started
	Last  time.Time
	Waits bool // tries of this address are slowed down
}

// Config joins the desk to the rest of the hub.
type Config struct {
	Live  *live.Live
	Hub   Hub
	Apart Apart
	Cards Cards
	Gate  Gate
	Keys  Passphrases
	Book  newjob.Book // where entries and cards are written
	// Receipt writes what the customer of a job gets.
	Receipt func(ctx context.Context, s *live.Snapshot, st *live.Standing) (*paper.Document, error)
	Dossier Dossiers
	By      func(r *http.Request) journal.PersonID // as the browser says; it is checked here
	SetBy   func(w http.ResponseWriter, r *http.Request, by journal.PersonID)
	// Parts gives the parts table; nil takes the shop's.
	Parts func(s *live.Snapshot) *parts.Table
	// Witnessed tells how things stand with those outside who are asked to
	// witness the hub's log; nil if nobody is.
	Witnessed func(ctx context.Context) (Witnessed, error)
	// Copies tells how the hub's backups stand; nil if nobody knows.
	Copies func() (Copies, error)
	// Missing tells what entries name and no machine brought; nil if nobody knows.
	Missing func(ctx context.Context) (Missing, error)
	// Room says how much room photographs take, in a sentence, and whether it is soon gone; nil
	// if nobody knows.
	Room func(ctx context.Context) (says string, soon bool, err error)
	// Places tells where the hub is in the network; nil if that is not told here.
	Places Places
	// Stopped tells whether nothing of the tablets is taken in now, since the disk is
	// full; nil if that is never asked.
	Stopped func() bool
	// Bench says where the bench of the same machine has its pages, "" if it has none;
	// nil if it never has.
	Bench  func() string
	Now    func() time.Time
	Rand   io.Reader
	Logger *slog.Logger
}

// Desk is the hub's pages.
type Desk struct {
	Config
	shell    *pages.Shell
	building chan struct{} // holds one that is building a dossier
	studies  recur.Kept
}

// New makes the desk. Its pages are shown once it has a shell.
func New(c Config) *Desk { return &Desk{Config: c, building: make(chan struct{}, 1)} }

// Show gives the desk the shell that shows its pages.
func (d *Desk) Show(s *pages.Shell) { d.shell = s }

// Routes puts the pages on their paths that only who is signed in may see.
func (d *Desk) Routes(mux pages.Mux) {
	mux.HandleFunc("GET /{$}", d.board)
	mux.HandleFunc("GET /vehicles", d.vehicles)
	mux.HandleFunc("GET /vehicle/{key...}", d.vehicle)
	mux.HandleFunc("GET /job/{job}", d.job)
	mux.HandleFunc("GET /casting/{name...}", d.casting)
	mux.HandleFunc("GET /receipt/{job}", d.receipt)
	mux.HandleFunc("GET /receipt/{job}/pdf", d.receiptPDF)
	mux.HandleFunc("GET /forget/{card}", d.authorised(journal.DeskDuty, d.askForget))
	mux.HandleFunc("POST /forget/{card}", d.authorised(journal.DeskDuty, d.forget))
	mux.HandleFunc("GET /shelf", d.shelf)
	mux.HandleFunc("GET /shelf/{what}/{id}", d.thing)
	mux.HandleFunc("GET /people", d.people)
	mux.HandleFunc("GET /people/name/{person}", d.authorised(journal.OwnerDuty, d.askName))
	mux.HandleFunc("POST /people/name/{person}", d.authorised(journal.OwnerDuty, d.name))
	mux.HandleFunc("POST /people/invite", d.authorised(journal.DeskDuty, d.invite))
	mux.HandleFunc("GET /people/revoke/{device}", d.authorised(journal.DeskDuty, d.askRevoke))
	mux.HandleFunc("POST /people/revoke/{device}", d.authorised(journal.DeskDuty, d.revoke))
	mux.HandleFunc("GET /people/passphrase/{person}", d.asked(d.askPassphrase))
	mux.HandleFunc("POST /people/passphrase/{person}", d.asked(d.givePassphrase))
	mux.HandleFunc("POST /people/passphrase/{person}/away", d.asked(d.takePassphrase))
	mux.HandleFunc("POST /people/apart", d.authorised(journal.DeskDuty, d.throwAway))
	mux.HandleFunc("GET "+placePath, d.authorised(journal.DeskDuty, d.askPlace))
	mux.HandleFunc("POST "+placePath, d.authorised(journal.DeskDuty, d.place))
	mux.HandleFunc("GET /uncounted", d.uncounted)
	mux.HandleFunc("GET /routes", d.routes)
	mux.HandleFunc("GET /routes/{name}", d.route)
	mux.HandleFunc("GET /routes/{name}/edit", d.authorised(journal.DeskDuty, d.editRoute))
	for _, typed := range []string{"/routes/check", "/routes/publish"} { // what was typed is not in an address
		mux.HandleFunc("GET "+typed, func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/routes", http.StatusSeeOther) })
	}
	mux.HandleFunc("POST /routes/check", d.authorised(journal.DeskDuty, d.checkRoute))
	mux.HandleFunc("POST /routes/publish", d.authorised(journal.DeskDuty, d.publishRoute))
	mux.HandleFunc("GET /parts", d.coats)
	mux.HandleFunc("GET /parts/table.csv", d.coatsCSV)
	mux.HandleFunc("GET /parts/dictionary.csv", d.dictionaryCSV)
	mux.HandleFunc("GET /recurring", d.recurring)
	mux.HandleFunc("GET /recurring/{factor}", d.factor)
	mux.HandleFunc("GET /investigate", d.investigate)
	mux.HandleFunc("GET /investigations", d.investigations)
	mux.HandleFunc("GET /investigation/{id}", d.investigation)
	mux.HandleFunc("GET /due", d.due)
	mux.HandleFunc("GET /claim/{id}", d.claim)
	mux.HandleFunc("GET /import", d.imports)
	mux.HandleFunc("GET /who", d.who)
	mux.HandleFunc("POST /who", d.setWho)
	mux.HandleFunc("POST /signout", d.signOut)
	mux.HandleFunc("GET /live", d.Live.Events)
	mux.HandleFunc("GET /lamp", d.lamp)
	mux.HandleFunc("GET /", func(w http.ResponseWriter, r *http.Request) { d.missing(w, r, pages.Nowhere) })
	d.dossierRoutes(mux)
	d.Welcome(mux)
}

// asked asks who works here before a page on which something is written.
func (d *Desk) asked(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if d.by(r) != "" {
			next(w, r)
			return
		}
		to := r.URL.RequestURI()
		if r.Method == http.MethodPost {
			to = "/"
			if from, err := url.Parse(r.Referer()); err == nil && strings.HasPrefix(from.Path, "/") {
				to = from.RequestURI()
			}
		}
		http.Redirect(w, r, "/who?back="+url.QueryEscape(to), http.StatusSeeOther)
	}
}

// authorised lets on who is authorised for a duty, and tells others who is. Whoever only
// tapped a name behind the desk's one passphrase has not said by it who they are, so
// nothing is held against that name.
func (d *Desk) authorised(duty journal.Duty, next http.HandlerFunc) http.HandlerFunc {
	return d.asked(func(w http.ResponseWriter, r *http.Request) {
		shop := d.Live.View(r.Context()).Shop
		if by := d.Gate.SignedIn(r); by != "" && !staff.May(shop, by, duty) {
			d.barred(w, r, words.Sentence(staff.Barred(shop, by, duty).Sentence))
			return
		}
		next(w, r)
	})
}

// barred says that somebody may not do this.
func (d *Desk) barred(w http.ResponseWriter, r *http.Request, sentence string) {
	d.asks(w, r, http.StatusForbidden, "notice", "Not authorised", notice{Title: "Not authorised", Sentence: sentence})
}

// by is the person who works at this browser, if that is one of the shop.
func (d *Desk) by(r *http.Request) journal.PersonID {
	by := d.By(r)
	if by == "" || slices.ContainsFunc(here(d.Live.View(r.Context()).Shop), func(p *record.Person) bool { return p.ID == by }) {
		return by
	}
	return ""
}

// patience is how long a page waits for the record to hold what was just
// written. It is written all the same.
const patience = 5 * time.Second

// write writes an entry and waits until the pages show it.
func (d *Desk) write(r *http.Request, draft journal.Draft) (*journal.Entry, error) {
	e, err := d.Book.Append(r.Context(), draft)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(r.Context(), patience)
	defer cancel()
	if _, err := d.Live.Await(ctx, e.ID); err != nil {
		d.Logger.WarnContext(r.Context(), "wait for what was written", "entry", e.ID, "error", err)
	}
	return e, nil
}

// reads shows a page that is renewed whenever something was written.
func (d *Desk) reads(w http.ResponseWriter, r *http.Request, s *live.Snapshot, name, title string, data any) {
	d.shell.Page(w, r, http.StatusOK, name, pages.View{Title: title, Frame: d.Frame(r, s), Data: data, Live: true})
}

// asks shows a page on which something is typed.
func (d *Desk) asks(w http.ResponseWriter, r *http.Request, status int, name, title string, data any) {
	d.shell.Page(w, r, status, name, pages.View{Title: title, Frame: d.Frame(r, d.Live.View(r.Context())), Data: data})
}

// notice is a page of one sentence.
type notice struct {
	Title, Sentence string
}

// missing says in a sentence that there is no such thing.
func (d *Desk) missing(w http.ResponseWriter, r *http.Request, sentence string) {
	d.asks(w, r, http.StatusNotFound, "notice", "Not here", notice{Title: "Not here", Sentence: sentence})
}
