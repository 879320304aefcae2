package write

import (
	"context"
	"crypto/sha256"
	"embed"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/media"
)

//go:embed html/*.html
var templates embed.FS

// Templates are the pages of this package.
func Templates() fs.FS { return templates }

// Store takes pictures in and entries down.
type Store interface {
	// Snap takes a picture in and returns it with its thumbnail. What is no
	// photograph gives a *media.Refused.
	Snap(ctx context.Context, r io.Reader, role string) (journal.Photo, []byte, error)
	// Append writes an entry. A vehicle that may not be handed back yet gives
	// a *route.Unreleasable.
	Append(ctx context.Context, d journal.Draft) (*journal.Entry, error)
	// AppendAll writes entries in their order, all of them or none.
	AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error)
	// Thumb makes the thumbnail of a picture that was taken in.
	Thumb(ctx context.Context, ref media.Ref) ([]byte, error)
}

// Shot is a picture to be judged before the moment is over.
type Shot struct {
	Photo   journal.Photo
	Thumb   []byte
	Subject journal.Subject // what it is of
}

// Config joins the pages to the rest of the program.
type Config struct {
	Device journal.DeviceID // in whose log the pages write
	Store  Store
	Live   *live.Live
	Drafts *draft.Store
	// Frame is what masthead and bar show.
	Frame func(r *http.Request, s *live.Snapshot) any
	// By is the person who works at this browser, "" if nobody said so.
	By func(r *http.Request) journal.PersonID
	// May says in a sentence why a kind cannot be written here; nil if it can.
	May func(kind journal.Kind) error
	// Barred says in a sentence why a kind cannot be written by whoever asks; nil if it
	// can. Not given, everybody may.
	Barred func(r *http.Request, kind journal.Kind) error
	// Confirm is how whoever stamps shows that it is them, where the card of a job wants
	// that; nil where nobody can, and such a stamp is refused.
	Confirm *Confirm
	// Judge says what is wrong with a picture, a sentence each; nil for none.
	Judge func(ctx context.Context, shot Shot) []string
	// Figure works out what the template "figure" shows of an entry: nil for
	// nothing.
	Figure func(s *live.Snapshot, id journal.EntryID) any
	// Page is where whoever wrote an entry is led in this set: to its own page, or
	// back to the list that asked for it; "" for where the form leads, nil if that
	// is so of all.
	Page func(l *record.Line) string
	// Body caps what a form may carry with its picture; 0 means [MaxBody]. It
	// should be well above what a photograph may have, so that the photograph
	// is refused and the form that came with it is not.
	Body   int64
	Rand   io.Reader
	Now    func() time.Time
	Logger *slog.Logger
}

// Confirm is how whoever stamps shows that it is them.
type Confirm struct {
	By    journal.Confirmation
	Typed bool // it is typed beside the form
	// Check says in a sentence why somebody has not shown it; nil if they have.
	Check func(r *http.Request, by journal.PersonID, typed string) error
}

// MaxBody is what a form may carry where nothing else is said.
const MaxBody = 128 << 20

// patience is how long a page waits for the record to hold what was just
// written. It is written all the same.
const patience = 5 * time.Second

// Writer serves the pages.
type Writer struct {
	Config
	shell *pages.Shell
	fresh stamps
}

// New makes the pages. They are shown once they have a shell.
func New(c Config) *Writer {
	if c.Body == 0 {
		c.Body = MaxBody
	}
	return &Writer{Config: c}
}

// Show gives the pages the shell that shows them.
func (w *Writer) Show(s *pages.Shell) { w.shell = s }

// Routes puts the pages on their paths.
func (w *Writer) Routes(mux pages.Mux) {
	both := func(path string, h http.HandlerFunc) {
		mux.HandleFunc("GET "+path, w.asked(h))
		mux.HandleFunc("POST "+path, w.asked(h))
	}
	both("/stage/{stage}/{subject...}", w.stage)
	both("/now/{subject...}", w.now)
	both("/write/{kind}/{subject...}", w.entry)
	both("/write/"+string(journal.ProbeLogged)+"/run/{run}", w.probe)
	both("/correct/{id}", w.correct)
	both("/run/new/{kind}", w.newRun)
	mux.HandleFunc("GET /run/{run}", w.run)
	mux.HandleFunc("POST /undo/{id}", w.undo)
	mux.HandleFunc("GET /snap/{ref}", w.snap)
	pages.Drawings(mux, "/outline/", outline.Picture)
	pages.Drawings(mux, "/look/", defects.Picture)
}

// refused says in a sentence why a kind cannot be written here, or not by whoever asks.
func (w *Writer) refused(r *http.Request, kind journal.Kind) error {
	if err := w.May(kind); err != nil || w.Barred == nil {
		return err
	}
	return w.Barred(r, kind)
}

// Limit is how many bytes the body of a request to these pages may have; 0 if
// it is none of theirs.
func (w *Writer) Limit(r *http.Request) int64 {
	for _, begin := range []string{"/stage/", "/now/", "/write/", "/correct/", "/run/new/"} {
		if strings.HasPrefix(r.URL.Path, begin) {
			return w.Body
		}
	}
	return 0
}

// asked asks who works here before anything can be stamped. What an old page
// sends meanwhile is kept.
func (w *Writer) asked(next http.HandlerFunc) http.HandlerFunc {
	return func(rw http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost && w.By(r) == "" {
			http.Redirect(rw, r, "/who?back="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
			return
		}
		next(rw, r)
	}
}

func (w *Writer) page(rw http.ResponseWriter, r *http.Request, status int, name string, s *live.Snapshot, v pages.View) {
	v.Frame = w.Frame(r, s)
	w.shell.Page(rw, r, status, name, v)
}

// missing says what is not here.
func (w *Writer) missing(rw http.ResponseWriter, r *http.Request, status int, sentence string) {
	w.page(rw, r, status, "unwritable", w.Live.View(r.Context()), pages.View{Title: "Not here", Data: sentence})
}

// part answers with one piece of a page, under a status of its own.
func (w *Writer) part(rw http.ResponseWriter, r *http.Request, status int, page, name string, data any) {
	w.shell.Fragment(&answer{rw, status}, r, page, name, data)
}

// answer gives a fragment another status than 200.
type answer struct {
	http.ResponseWriter
	status int
}

func (a *answer) WriteHeader(int) { a.ResponseWriter.WriteHeader(a.status) }

// snap shows a photograph that no entry names yet.
func (w *Writer) snap(rw http.ResponseWriter, r *http.Request) {
	ref, err := media.ParseHex(r.PathValue("ref"))
	if err != nil {
		http.NotFound(rw, r)
		return
	}
	small, err := w.Store.Thumb(r.Context(), ref)
	if err != nil {
		http.NotFound(rw, r)
		return
	}
	rw.Header().Set("Content-Type", "image/jpeg")
	rw.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	if _, err := rw.Write(small); err != nil {
		w.Logger.DebugContext(r.Context(), "send thumbnail", "error", err)
	}
}

// thumbs makes the thumbnails of photos and names them anew: a draft may be
// older than the program that makes thumbnails now.
func (w *Writer) thumbs(ctx context.Context, photos []draft.Photo) ([]journal.Photo, [][]byte, error) {
	var list []journal.Photo
	var small [][]byte
	for _, p := range photos {
		one, err := w.Store.Thumb(ctx, p.Ref)
		if err != nil {
			return nil, nil, err
		}
		p.Thumb = sha256.Sum256(one)
		list, small = append(list, p.Photo), append(small, one)
	}
	return list, small, nil
}
