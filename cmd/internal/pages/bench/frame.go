package bench

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Frame is what masthead and bar show on every page of the bench.
type Frame struct {
	Shop, Bench string
	By          journal.PersonID
	Initials    string
	Home        bool
	Who         string // path of the page on which somebody taps their name
	Serial      uint64 // of the shop that the page shows
	Where
}

// Where says where this tablet's entries are.
type Where struct {
	Here, AtHub, Countersigned int64
	Wait                       int64 // entries that the hub has not countersigned
	Photos                     int   // originals that the hub has not confirmed
	Heard                      time.Time
	Skew                       time.Duration
	Problem                    string
	Lamp                       Lamp
	Writing                    words.Writing
}

// Waits is Wait as the number of a noun.
func (w Where) Waits() int { return int(w.Wait) }

// Frame makes the frame of a page. What cannot be read is told in the log and
// stands as zero: the page itself matters more.
func (b *Bench) Frame(r *http.Request, s *live.Snapshot) any {
	by := b.By(r)
	f := Frame{Shop: s.Shop.Name, Bench: b.Name, By: by, Serial: s.Serial, Home: r.URL.Path == "/", Who: whoPath(r), Where: b.whereabouts(r)}
	if by != "" {
		f.Initials = s.Shop.Initials(by)
	}
	return f
}

// whoPath is where somebody taps their name, and goes on at the page that a request shows
// if it shows one.
func whoPath(r *http.Request) string {
	const path = "/who"
	back := r.URL.RequestURI()
	if r.Method != http.MethodGet || back == "/" || strings.HasPrefix(r.URL.Path, path) {
		return path
	}
	return path + "?back=" + url.QueryEscape(back)
}

func (b *Bench) whereabouts(r *http.Request) Where {
	st := b.Standing()
	w := Where{AtHub: st.AtHub, Heard: st.Connected, Skew: st.Skew, Problem: st.Problem, Writing: b.Live.View(r.Context()).Shop.Writing()}
	head, err := b.Log.Head(r.Context(), b.Device)
	if err != nil {
		b.Logger.WarnContext(r.Context(), "read the own log’s head", "error", err)
	}
	c, err := b.Log.LastCountersigned(r.Context(), b.Device)
	if err != nil {
		b.Logger.WarnContext(r.Context(), "read countersignatures", "error", err)
	}
	photos, err := b.Log.Unconfirmed(r.Context())
	if err != nil {
		b.Logger.WarnContext(r.Context(), "read waiting photographs", "error", err)
	}
	w.Here, w.Countersigned, w.Photos = head.Size, c.Size, len(photos)
	w.AtHub = max(w.AtHub, w.Countersigned)
	w.Wait = w.Here - w.Countersigned
	w.Lamp = lampOf(w, st, b.Now())
	return w
}
