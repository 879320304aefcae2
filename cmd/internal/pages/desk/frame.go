package desk

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal/words"
)

// Frame is what masthead and bar show on every page of the desk.
type Frame struct {
	Shop     string
	Tabs     []readonly.Choice
	Query    string
	Initials string // of who works at this browser
	Here     string // the path to come back to
	Outside  bool   // nobody is signed in: nothing of the shop but its name is shown
	Bar      string // the last word about sync
	Silent   bool   // a tablet has been silent for days, or none can be told of
	Serial   uint64 // of the shop that the page shows
}

// Frame makes the frame of a page. It may be given to the packages whose pages
// stand beside the desk's own.
func (d *Desk) Frame(r *http.Request, s *live.Snapshot) any {
	f := Frame{Shop: s.Shop.Name, Query: r.URL.Query().Get("q"), Here: r.URL.RequestURI(), Serial: s.Serial}
	f.Bar, f.Silent = d.bar(r, s)
	if r.Method != http.MethodGet {
		f.Here = "/"
	}
	for _, t := range tabs() {
		f.Tabs = append(f.Tabs, readonly.Choice{Link: t.Link, On: t.covers(r.URL.Path)})
	}
	if at := d.benchFor(r); at != "" {
		f.Tabs = append(f.Tabs, readonly.Choice{Link: readonly.Link{Say: "Bench", Path: at + "/"}})
	}
	if by := d.by(r); by != "" {
		f.Initials = s.Shop.Initials(by)
	}
	return f
}

// benchFor is where the bench of this machine is, for its own browser.
func (d *Desk) benchFor(r *http.Request) string {
	if d.Bench == nil || !gate.Here(r) {
		return ""
	}
	return d.Bench()
}

// tab leads to a page; more are the beginnings of the paths that belong to it.
type tab struct {
	readonly.Link
	more []string
}

func tabs() []tab {
	return []tab{
		{readonly.Link{Say: "On hand", Path: "/"}, nil},
		{readonly.Link{Say: "Vehicles", Path: "/vehicles"}, []string{"/vehicle/", "/job/", "/record/", "/holds/", "/forget/", "/casting/"}},
		{readonly.Link{Say: "Shelf", Path: "/shelf"}, []string{"/shelf/", "/import"}},
		{readonly.Link{Say: "People and tablets", Path: "/people"}, []string{"/people/", "/uncounted"}},
		{readonly.Link{Say: "Route cards", Path: "/routes"}, []string{"/routes/"}},
		{readonly.Link{Say: "Follow-ups", Path: "/due"}, nil},
		{readonly.Link{Say: "Recurring", Path: "/recurring"}, []string{"/recurring/", "/parts", "/investigation"}},
		{readonly.Link{Say: "Help", Path: "/help"}, nil},
	}
}

func (t tab) covers(path string) bool {
	return path == t.Path || slices.ContainsFunc(t.more, func(m string) bool { return strings.HasPrefix(path, m) })
}

// bar is the last word about sync: how many entries the hub holds under its
// signature, which tablet was heard last, and which are silent.
func (d *Desk) bar(r *http.Request, s *live.Snapshot) (say string, silent bool) {
	list, err := d.tablets(r.Context(), s)
	if err != nil {
		d.Logger.WarnContext(r.Context(), "ask for the tablets", "error", err)
		return "The state of the tablets cannot be shown now; the log on this machine says why.", true
	}
	var newest tabletRow
	var waiting int64
	working, mute := 0, 0
	for _, t := range list {
		if t.Gone != "" {
			continue
		}
		working++
		waiting += t.Entries - t.Countersigned
		if t.Last.After(newest.Last) {
			newest = t
		}
		if t.Silent {
			mute++
		}
	}
	if working == 0 {
		return "No tablet has joined yet.", false
	}
	text := words.Count(working, "tablet")
	if !newest.Last.IsZero() {
		text += fmt.Sprintf(", last heard: %s, %s", newest.Name, ago(newest.Last, d.Now()))
	}
	if waiting > 0 {
		text += fmt.Sprintf("; %s here, not countersigned yet", s.Shop.Writing().Count(int(waiting), "entry"))
	}
	if mute > 0 {
		text += fmt.Sprintf("; %d silent for days", mute)
	}
	return text, mute > 0
}

// lamp gives the bar's word alone, to a page that looks again.
func (d *Desk) lamp(w http.ResponseWriter, r *http.Request) {
	f := Frame{}
	f.Bar, f.Silent = d.bar(r, d.Live.View(r.Context()))
	d.shell.Fragment(w, r, "board", "lamp", f)
}

// ago says how long something is past.
func ago(t, now time.Time) string {
	switch past := now.Sub(t); {
	case past < 2*time.Minute:
		return "just now"
	case past < 2*time.Hour:
		return fmt.Sprintf("%d minutes ago", past/time.Minute)
	case past < 48*time.Hour:
		return fmt.Sprintf("%d hours ago", past/time.Hour)
	default:
		return fmt.Sprintf("%d days ago", past/(24*time.Hour))
	}
}
