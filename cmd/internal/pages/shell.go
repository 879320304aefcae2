package pages

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"maps"
	"net/http"
	"path"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal/words"
)

//go:embed html/*.html
var shared embed.FS

// Shell renders the pages of one set.
type Shell struct {
	pages  map[string]*template.Template
	bare   *template.Template // what every page is made from
	assets *assets
	undo   Undoing
	logger *slog.Logger
}

// Options bring in what a shell must not take for itself.
type Options struct {
	Set    string // "bench" or "desk": the class of the body
	Now    func() time.Time
	Logger *slog.Logger
	Funcs  template.FuncMap // of the set, beside those of package pages
	Undo   Undoing          // nil if nothing is stamped in the set
}

// keeps says where what is typed is kept until it is stamped.
func (o Options) keeps() string { return words.Choose(o.Set == "desk", "at the hub", "on this tablet") }

// View is what a page shows.
type View struct {
	Title string // of the window
	Frame any    // what masthead and bar show
	Data  any    // what main shows
	// Live says that the page may be shown anew whenever something was
	// written; a page on which a person types must not be.
	Live bool

	Undo                *Undo // set by the shell, as are these
	Style, Script, Icon string
	Touch, Manifest     string   // of who keeps the pages among the programs
	Theme               string   // "light", "dark", or as the system says
	Keypad              bool     // a number is typed on keys of the page, where a finger touches its field
	Fonts               []string // that the page is set in
}

// New reads the templates of a set from the html folders of sites. The file
// frame.html and files whose names begin with part_ hold what pages share;
// every other file is a page of its own.
func New(o Options, sites ...fs.FS) (*Shell, error) {
	a, err := newAssets()
	if err != nil {
		return nil, err
	}
	funcs := functions(o.Now)
	funcs["asset"] = a.path
	funcs["set"] = func() string { return o.Set }
	funcs["keeps"] = func() string { return o.keeps() }
	maps.Copy(funcs, o.Funcs)
	base, err := template.New("").Funcs(funcs).ParseFS(shared, "html/*.html")
	if err != nil {
		return nil, fmt.Errorf("read the frame of the pages: %w", err)
	}
	files := make(map[string]fs.FS) // of pages
	for _, site := range sites {
		list, err := fs.Glob(site, "html/*.html")
		if err != nil {
			return nil, fmt.Errorf("list pages: %w", err)
		}
		for _, file := range list {
			if name := path.Base(file); name != "frame.html" && !strings.HasPrefix(name, "part_") {
				files[file] = site
			} else if _, err := base.ParseFS(site, file); err != nil {
				return nil, fmt.Errorf("read %s: %w", name, err)
			}
		}
	}
	bare, err := base.Clone()
	if err != nil {
		return nil, fmt.Errorf("read the bare page: %w", err)
	}
	s := &Shell{pages: make(map[string]*template.Template), bare: bare, assets: a, undo: o.Undo, logger: o.Logger}
	for file, site := range files {
		name := strings.TrimSuffix(path.Base(file), ".html")
		page, err := base.Clone()
		if err == nil {
			page, err = page.ParseFS(site, file)
		}
		if err != nil {
			return nil, fmt.Errorf("read page %s: %w", name, err)
		}
		s.pages[name] = page
	}
	return s, nil
}

// Page writes a page.
func (s *Shell) Page(w http.ResponseWriter, r *http.Request, status int, name string, v View) {
	if s.undo != nil && live.Trouble(r.Context()) == nil {
		v.Undo = s.undo(r)
	}
	s.write(w, r, status, name, "page", s.dressed(r, v))
}

// dressed gives a view what belongs to every page.
func (s *Shell) dressed(r *http.Request, v View) View {
	v.Style, v.Script, v.Icon, v.Fonts = s.assets.style, s.assets.script, s.assets.icon, s.assets.fonts
	v.Touch, v.Manifest, v.Theme, v.Keypad = s.assets.touch, s.assets.manifest, Theme(r), Keypad(r)
	return v
}

// Say writes a page of one sentence, which needs nothing of the shop: it is for
// what cannot be shown and for what is not there.
func (s *Shell) Say(w http.ResponseWriter, r *http.Request, status int, title, sentence string) {
	s.send(w, r, status, s.bare, "bare", s.dressed(r, View{Title: title, Data: sentence, Frame: "/"}))
}

// Nowhere says that an address leads to no page.
const Nowhere = "There is no page at this address. What was written is where it was."

// Fragment writes one template of a page, for a module that puts it in place.
func (s *Shell) Fragment(w http.ResponseWriter, r *http.Request, name, part string, data any) {
	s.write(w, r, http.StatusOK, name, part, data)
}

// write renders into memory first: half a page must not look like a whole one.
func (s *Shell) write(w http.ResponseWriter, r *http.Request, status int, name, part string, data any) {
	if err := live.Trouble(r.Context()); err != nil {
		s.trouble(w, r, err)
		return
	}
	page := s.pages[name]
	if page == nil {
		s.trouble(w, r, fmt.Errorf("there is no page %q", name))
		return
	}
	s.send(w, r, status, page, part, data)
}

func (s *Shell) send(w http.ResponseWriter, r *http.Request, status int, page *template.Template, part string, data any) {
	var body bytes.Buffer
	if err := page.ExecuteTemplate(&body, part, data); err != nil {
		err = fmt.Errorf("render page: %w", err)
		if page != s.bare {
			s.trouble(w, r, err)
			return
		}
		s.logger.ErrorContext(r.Context(), "show page", "path", r.URL.Path, "error", err)
		http.Error(w, unshown, http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	if _, err := w.Write(Seen(body.Bytes())); err != nil {
		s.logger.DebugContext(r.Context(), "send page", "path", r.URL.Path, "error", err)
	}
}

func (s *Shell) trouble(w http.ResponseWriter, r *http.Request, err error) {
	s.logger.ErrorContext(r.Context(), "show page", "path", r.URL.Path, "error", err)
	s.Say(w, r, http.StatusInternalServerError, "Not shown", unshown)
}

const unshown = "This page cannot be shown; what was written stands. The log on this machine says why."

// Guard sets the headers that keep every answer to what this program wrote:
// no script, style, picture or form from or to anywhere else.
// (Content Security Policy Level 3; HTML Living Standard.)
func Guard(next http.Handler) http.Handler {
	once := live.Once(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		keepToItself(w.Header())
		once.ServeHTTP(w, r)
	})
}

func keepToItself(h http.Header) {
	const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' blob:; font-src 'self'; manifest-src 'self'; worker-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
	// Only these pages may use the camera, and nothing else of the device.
	// (Permissions Policy, W3C.)
	const device = "camera=(self), microphone=(), geolocation=(), display-capture=(), usb=(), serial=(), bluetooth=()"
	h.Set("Content-Security-Policy", policy)
	h.Set("Permissions-Policy", device)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
}
