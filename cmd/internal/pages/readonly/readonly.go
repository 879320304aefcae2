// Package readonly is what bench and desk show alike and nobody can change: one
// entry with its photographs and clocks, the record of a job line by line, how
// its hold points stand, a search, what touched what, and the photographs themselves, each with what is marked on it. On every
// page a struck line stays readable under its line, with who struck it and why.
//
//	p := paper.New(readonly.Config{Live: l, Thumbs: db, Originals: photos, Frame: frame, Now: time.Now, Logger: logger})
//	shell, err := pages.New(options, frameTemplates, readonly.Templates())
//	p.Show(shell)
//	p.Routes(mux)
package readonly

import (
	"context"
	"embed"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/media"
)

//go:embed html/*.html
var templates embed.FS

// Thumbs gives the bytes of a thumbnail by its own Ref; one that no entry
// names is media.ErrNotHere.
type Thumbs interface {
	Thumb(ctx context.Context, ref media.Ref) ([]byte, error)
	// Withdrawn reports whether the photograph of a thumbnail was withdrawn.
	Withdrawn(ctx context.Context, ref media.Ref) (bool, error)
}

// Originals gives the originals that are on this machine; what is missing is
// media.ErrNotHere.
type Originals interface {
	Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error)
	Has(ctx context.Context, ref media.Ref) (bool, error)
}

// Cards gives customer cards; one that is not here, or was erased, is an error.
type Cards interface {
	Card(ctx context.Context, id journal.CardID) (journal.Card, error)
}

// Config joins the pages to the rest of the program.
type Config struct {
	Live      *live.Live
	Thumbs    Thumbs
	Originals Originals
	Cards     Cards // nil if no customer's name may be searched for here
	// Desk says that the set has pages for vehicles and for the shelf, so
	// that they are linked to.
	Desk bool
	// Elsewhere is the sentence for an original that is not on this machine.
	// Empty, it says that the tablet has it.
	Elsewhere string
	// Figure works out what template "figure" shows of an entry; nil, or a nil
	// result, shows none.
	Figure func(s *live.Snapshot, id journal.EntryID) any
	Frame  func(r *http.Request, s *live.Snapshot) any
	Now    func() time.Time
	Logger *slog.Logger
}

// Paper is the pages that are only read.
type Paper struct {
	Config
	shell *pages.Shell
}

// New makes the pages. They are shown once they have a shell.
func New(c Config) *Paper {
	if c.Elsewhere == "" {
		c.Elsewhere = "The original is still on the tablet; the thumbnail came with the entry."
	}
	return &Paper{Config: c}
}

// Templates are the pages, and the templates "timeline" (a [Timeline]),
// "line" (a [Line]), "verdict" (a [Verdict]) and "bits" for others to use. They use the templates "stamp" and "figure".
func Templates() fs.FS { return templates }

// Show gives the shell that shows the pages.
func (p *Paper) Show(s *pages.Shell) { p.shell = s }

// Routes puts the pages on their paths. The desk shows the record of a job in
// a page of its own at /job/{job}; /record/{job} is there all the same.
func (p *Paper) Routes(mux pages.Mux) {
	mux.HandleFunc("GET /entry/{id}", p.entry)
	mux.HandleFunc("GET /record/{job}", p.record)
	mux.HandleFunc("GET /holds/{job}", p.holds)
	mux.HandleFunc("GET /search", p.search)
	mux.HandleFunc("GET /help", p.help)
	mux.HandleFunc("POST /theme", pages.SetTheme)
	mux.HandleFunc("POST /keypad", pages.SetKeypad)
	mux.HandleFunc("GET /trace", p.trace)
	mux.HandleFunc("GET /thumb/{ref}", p.thumb)
	mux.HandleFunc("GET /photo/{ref}", p.photo)
	mux.HandleFunc("GET /picture/{id}/{number}", p.large)
}

// live shows a page that is renewed whenever something was written.
func (p *Paper) live(w http.ResponseWriter, r *http.Request, s *live.Snapshot, name, title string, data any) {
	p.shell.Page(w, r, http.StatusOK, name, pages.View{Title: title, Frame: p.Frame(r, s), Data: data, Live: true})
}

// notice is a page of one sentence.
type notice struct {
	Title, Sentence string
}

// Missing says in a sentence that there is no such thing.
func (p *Paper) Missing(w http.ResponseWriter, r *http.Request, sentence string) {
	p.say(w, r, http.StatusNotFound, "Not here", sentence)
}

func (p *Paper) say(w http.ResponseWriter, r *http.Request, status int, title, sentence string) {
	p.shell.Page(w, r, status, "notice", pages.View{Title: title, Frame: p.Frame(r, p.Live.View(r.Context())), Data: notice{Title: title, Sentence: sentence}})
}
