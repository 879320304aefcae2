// Package bench is the tablet's pages, made for gloved hands and ten seconds:
// the jobs on hand, the route card of a job, and from there one tap to a
// stage. The page that writes an entry is package write's, what is only read
// is package readonly's.
package bench

import (
	"context"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/media"
)

//go:embed html/*.html
var templates embed.FS

// Log is what the bench tells of its own log.
type Log interface {
	LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error)
	Head(ctx context.Context, device journal.DeviceID) (journal.Head, error)
	Unconfirmed(ctx context.Context) ([]media.Ref, error)
}

// Standing is how the tablet stands with the hub.
type Standing struct {
	AtHub     int64     // entries of the own log that the hub has on its disk
	Connected time.Time // when the hub last answered; zero if not since the start
	Away      bool      // it does not answer now
	Waits     time.Time // until when it asked this tablet to wait; zero if it did not
	Refused   time.Time // since when it does not let this tablet in; zero if it does
	Done, Of  int       // originals that are on their way together, and how many the hub has
	Sent      int64     // of their bytes
	Total     int64
	Skew      time.Duration
	Problem   string // why the last round did not do everything, or ""
}

// Phones lets telephones in the same network use this tablet's pages.
type Phones interface {
	// Offer makes a pairing code that works once. Without an address of this
	// machine in the network there is none, and the error says so.
	Offer() (Offer, error)
	// Redeem lets the browser in that shows a code, and sets its cookie.
	Redeem(w http.ResponseWriter, r *http.Request, code, name string) error
	// On reports whether telephones can reach the pages at all.
	On() bool
	// Turn lets telephones reach the pages, or keeps all of them away, while the program
	// runs and after its next start.
	Turn(ctx context.Context, on bool) error
	// Is reports whether a request comes from a telephone and not from the
	// tablet's own screen.
	Is(r *http.Request) bool
	List() []Phone
	Forget(id string) error
}

// PINs are those that people have at this tablet.
type PINs interface {
	Has(who journal.PersonID) (bool, error)
	// Change gives somebody a PIN. confirm is that of whoever does. The error is a
	// sentence for the person.
	Change(ctx context.Context, by, who journal.PersonID, confirm, pin string) error
}

// Offer is a pairing code.
type Offer struct {
	Links []string // one for each address of this machine; the first is drawn
	Code  string   // to be typed
	Until time.Time
}

// Phone is a telephone that was let in.
type Phone struct {
	ID, Name string
	Used     time.Time
}

// Config joins the bench to the rest of the tablet.
type Config struct {
	Device   journal.DeviceID
	Name     string // of the tablet
	Live     *live.Live
	Log      Log
	Standing func() Standing
	Drafts   *draft.Store
	By       func(r *http.Request) journal.PersonID
	SetBy    func(w http.ResponseWriter, r *http.Request, by journal.PersonID)
	PINs     PINs
	Keys     Keys // nil at the hub itself
	Phones   Phones
	Desk     string // where the desk of the same machine is, "" if it has none
	Now      func() time.Time
	Logger   *slog.Logger
}

// Bench is the tablet's pages.
type Bench struct {
	Config
	shell *pages.Shell
}

// New makes the bench. Its pages are shown once it has a shell.
func New(c Config) *Bench { return &Bench{Config: c} }

// Templates are the bench's pages.
func (b *Bench) Templates() fs.FS { return templates }

// Funcs are the words that the bench's templates use.
func (b *Bench) Funcs() template.FuncMap {
	return template.FuncMap{
		"skew":    skew,
		"address": func(link string) string { at, _, _ := strings.Cut(link, "/pair/"); return at + "/pair/code" },
	}
}

// skew says how far a clock is off.
func skew(d time.Duration) string {
	switch d = d.Round(time.Second); {
	case d == 0:
		return "correct to the second"
	case d < 0:
		return (-d).String() + " slow"
	default:
		return d.String() + " fast"
	}
}

// offTooFar is how far a clock may be off before people are asked to set it.
const offTooFar = time.Minute

// off says how far a clock is off that people have to set.
func off(d time.Duration) string {
	way := "fast"
	if d < 0 {
		way, d = "slow", -d
	}
	d = d.Round(time.Minute)
	hours, minutes := int(d.Hours()), int(d.Minutes())%60
	switch {
	case hours >= 48:
		return fmt.Sprintf("%d days %s", hours/24, way)
	case hours > 0:
		return fmt.Sprintf("%d h %d min %s", hours, minutes, way)
	default:
		return fmt.Sprintf("%d min %s", minutes, way)
	}
}

// Show gives the bench the shell that shows its pages.
func (b *Bench) Show(s *pages.Shell) { b.shell = s }

// Routes puts the bench's pages on their paths.
func (b *Bench) Routes(mux pages.Mux) {
	mux.HandleFunc("GET /{$}", b.jobs)
	mux.HandleFunc("GET /job/{job}", b.job)
	mux.HandleFunc("GET /who", b.who)
	mux.HandleFunc("POST /who", b.setWho)
	mux.HandleFunc("GET /pin", b.pin)
	mux.HandleFunc("POST /pin", b.changePIN)
	mux.HandleFunc("GET /where", b.where)
	mux.HandleFunc("GET /hub-keys", b.hubKeys)
	mux.HandleFunc("POST /hub-keys", b.agreeKeys)
	mux.HandleFunc("GET /pair", b.pair)
	mux.HandleFunc("POST /pair", b.setPhones)
	mux.HandleFunc("GET /live", b.Live.Events)
	mux.HandleFunc("GET /lamp", b.lamp)
	mux.HandleFunc("GET "+pages.WorkerPath, b.shell.Worker)
	mux.HandleFunc("GET /", func(w http.ResponseWriter, r *http.Request) { b.missing(w, r, pages.Nowhere) })
	mux.HandleFunc("GET /assets/", b.shell.Assets)
}

// Welcome puts the pages on their paths that a telephone sees before it is
// let in.
func (b *Bench) Welcome(mux pages.Mux) {
	mux.HandleFunc("GET "+pages.WorkerPath, b.shell.Worker)
	mux.HandleFunc("GET /pair/{code}", b.knock)
	mux.HandleFunc("POST /pair/in", b.enter)
	mux.HandleFunc("GET /assets/", b.shell.Assets)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		to := "/pair/code"
		if r.URL.Path != "/" {
			to += "?out=yes"
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
	})
}

func (b *Bench) show(w http.ResponseWriter, r *http.Request, status int, name string, v pages.View) {
	v.Frame = b.Frame(r, b.Live.View(r.Context()))
	b.shell.Page(w, r, status, name, v)
}

// missing says that there is no such thing here.
func (b *Bench) missing(w http.ResponseWriter, r *http.Request, sentence string) {
	b.show(w, r, http.StatusNotFound, "missing", pages.View{Title: "Not here", Data: sentence})
}
