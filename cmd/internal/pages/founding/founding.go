// Package founding is what a fresh machine shows: on a hub what the shop is called, who
// begins it, and the passphrase of its desk, which leads straight on to the invitation of the
// first tablet. A machine that may as well become a tablet asks first which of them it is to
// be, and joins a shop with an invitation.
package founding

import (
	"context"
	"embed"
	"errors"
	"io/fs"
	"net/http"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

//go:embed html/*.html
var templates embed.FS

// Templates are the pages of a first start.
func Templates() fs.FS { return templates }

// Words are what begins a shop.
type Words struct {
	Shop       string
	Person     string // a short name such as io
	Initials   string
	Passphrase string
	Units      string // "metric" or "US customary"
	Bench      bool   // this machine is a bench too
}

// Begin founds the shop, starts its hub, and signs the browser in at its desk.
// When it returns the desk is open.
type Begin func(ctx context.Context, w http.ResponseWriter, r *http.Request, words Words) error

// Config joins the pages to the rest of the program.
type Config struct {
	Shell *pages.Shell
	Begin Begin
	Join  Join // nil on a machine that can only be a hub
}

// Start is the pages of a first start.
type Start struct{ Config }

// New makes the pages.
func New(c Config) *Start { return &Start{c} }

// Next is where a first start leads: to the invitation of the first tablet.
const Next = "/people?first=yes"

// Handler serves the page, whatever path is asked for.
func (s *Start) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /assets/", s.Shell.Assets)
	shop := func(w http.ResponseWriter, r *http.Request) {
		s.ask(w, r, http.StatusOK, sheet{Words: Words{Units: unit.MetricName, Bench: true}})
	}
	mux.HandleFunc("POST /begin", s.answer)
	if s.Join == nil {
		mux.HandleFunc("GET /", shop)
		return mux
	}
	mux.HandleFunc("GET /begin", shop)
	mux.HandleFunc("GET /join", func(w http.ResponseWriter, r *http.Request) { s.askToJoin(w, r, http.StatusOK, ticket{}) })
	mux.HandleFunc("POST /join", s.join)
	mux.HandleFunc("GET /", func(w http.ResponseWriter, r *http.Request) {
		s.Shell.Page(w, r, http.StatusOK, "choose", pages.View{Title: "A first start"})
	})
	return mux
}

// sheet is the page with what was typed.
type sheet struct {
	Words
	Wrong  map[string]string
	Choose bool // it may be a bench too, or not
}

// Amiss are the fields for which the shop was not set up.
func (d sheet) Amiss() pages.Amiss {
	return pages.AmissAmong(d.Wrong, pages.Field{ID: "shop", Label: "The shop’s name"}, pages.Field{ID: "person", Label: "First person"}, pages.Field{ID: "units", Label: "Units"},
		pages.Field{ID: "passphrase", Label: "Passphrase of the desk"}, pages.Field{ID: "again", Label: "The same again"})
}

// Systems are the units that a shop may begin with.
func (sheet) Systems() []string { return []string{unit.MetricName, unit.USCustomaryName} }

func (s *Start) ask(w http.ResponseWriter, r *http.Request, status int, d sheet) {
	d.Choose = s.Join != nil
	s.Shell.Page(w, r, status, "first", pages.View{Title: "Set up a shop", Data: d})
}

func (s *Start) answer(w http.ResponseWriter, r *http.Request) {
	text := func(name string) string { return strings.TrimSpace(r.FormValue(name)) }
	d := sheet{Words: Words{Shop: text("shop"), Person: strings.ToLower(text("person")), Initials: text("initials"), Passphrase: r.FormValue("passphrase"), Units: r.FormValue("units"), Bench: r.FormValue("bench") != ""}, Wrong: map[string]string{}}
	if d.Shop == "" {
		d.Wrong["shop"] = "Give the shop’s name, as on its sign."
	}
	if d.Person == "" {
		d.Wrong["person"] = "Give the first person a short name, such as io."
	}
	if _, ok := unit.Named(d.Units); !ok {
		d.Wrong["units"] = "Choose the units in which the shop works."
	}
	if again := r.FormValue("again"); again != d.Passphrase {
		d.Wrong["again"] = "The two passphrases differ; type the same one twice."
	}
	if len(d.Wrong) == 0 {
		err := s.Begin(r.Context(), w, r, d.Words)
		if err == nil {
			http.Redirect(w, r, Next, http.StatusSeeOther)
			return
		}
		d.Wrong[about(err)] = words.Sentence(err.Error())
	}
	d.Passphrase = ""
	s.ask(w, r, http.StatusUnprocessableEntity, d)
}

// Field is wrapped by errors that are about one field of the sheet.
type Field struct {
	Name string
	Err  error
}

func (e *Field) Error() string { return e.Err.Error() }
func (e *Field) Unwrap() error { return e.Err }

// about is the field that an error is about, "" if it is about none.
func about(err error) string {
	var f *Field
	if errors.As(err, &f) {
		return f.Name
	}
	return ""
}
