// Package counter is the page on which a job is opened, at the bench and at the
// desk alike: the vehicle that comes in, the work that is wanted, and the customer
// whose card lies beside the journal. Whoever opens it writes into the log of the
// machine that shows the page.
package counter

import (
	"embed"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/url"
	"time"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/shop"
)

//go:embed html/*.html
var templates embed.FS

// Templates are the pages of this package.
func Templates() fs.FS { return templates }

// Path is where a job is opened.
const Path = "/job/new"

// AnswerPath is where the job is opened that answers a complaint.
func AnswerPath(claim journal.EntryID) string { return Path + "?claim=" + claim.String() }

// Config joins the page to the rest of the program.
type Config struct {
	Device journal.DeviceID // in whose log the page writes
	Works  bool             // whoever opens a job here goes on with what is done first
	Book   newjob.Book
	Cards  shop.CardReader // of customers who were here before
	Live   *live.Live
	Drafts *draft.Store
	// Frame is what masthead and bar show.
	Frame func(r *http.Request, s *live.Snapshot) any
	// By is the person who works at this browser, "" if nobody said so.
	By     func(r *http.Request) journal.PersonID
	Rand   io.Reader
	Now    func() time.Time
	Logger *slog.Logger
}

// Counter serves the page.
type Counter struct {
	Config
	shell *pages.Shell
}

// New makes the page. It is shown once it has a shell.
func New(c Config) *Counter { return &Counter{Config: c} }

// Show gives the page the shell that shows it.
func (c *Counter) Show(s *pages.Shell) { c.shell = s }

// Routes puts the page on its path.
func (c *Counter) Routes(mux pages.Mux) {
	mux.HandleFunc("GET "+Path, c.asked(c.newJob))
	mux.HandleFunc("POST "+Path, c.asked(c.openJob))
}

// asked asks who works here first.
func (c *Counter) asked(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if c.By(r) == "" {
			http.Redirect(w, r, "/who?back="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
			return
		}
		next(w, r)
	}
}
