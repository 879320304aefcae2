// Package tags is the pages of printed labels: on which they are printed, and on
// which their codes are read at the bench.
//
//	/labels/{of...}   the labels of a job, of a run, or of the tools on the shelf
//	/scan             reads a code: it finds what a tag hangs on
//	/scan?for={kind}  puts parts on a run
//	/scan?of=run/{id} ticks off what is in a run
//
// A code comes as the text that the browser read, or as a picture that is read here,
// one at a time. What was read so far is in the page, so nothing is kept.
package tags

import (
	"embed"
	"io/fs"
	"log/slog"
	"net/http"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/qrread"
	"fettlebook/journal"
)

//go:embed html/*.html
var templates embed.FS

// Templates are the pages of this package.
func Templates() fs.FS { return templates }

// Config joins the pages to the rest of the program.
type Config struct {
	Live  *live.Live
	Frame func(r *http.Request, s *live.Snapshot) any
	// Thing is the page of a thing of the shelf.
	Thing  func(of journal.Subject) string
	Logger *slog.Logger
}

// Tags serves the pages.
type Tags struct {
	Config
	shell   *pages.Shell
	reading chan struct{} // holds one while a picture is read
}

// New makes the pages. They are shown once they have a shell.
func New(c Config) *Tags { return &Tags{Config: c, reading: make(chan struct{}, 1)} }

// Show gives the pages the shell that shows them.
func (t *Tags) Show(s *pages.Shell) { t.shell = s }

// Routes puts the pages on their paths.
func (t *Tags) Routes(mux pages.Mux) {
	mux.HandleFunc("GET /labels/{of...}", t.labels)
	mux.HandleFunc("GET /scan", t.scan)
	mux.HandleFunc("POST /scan", t.scan)
}

// Limit is how many bytes the body of a request to these pages may have; 0 if it is
// none of theirs.
func (t *Tags) Limit(r *http.Request) int64 {
	if r.URL.Path == "/scan" {
		return qrread.MaxBytes + maxFields
	}
	return 0
}

func (t *Tags) page(w http.ResponseWriter, r *http.Request, s *live.Snapshot, status int, name string, v pages.View) {
	v.Frame = t.Frame(r, s)
	t.shell.Page(w, r, status, name, v)
}
