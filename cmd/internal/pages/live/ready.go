package live

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// patience is how long an answer waits for a shop that is being read.
const patience = 3 * time.Second

// WhenRead has whoever asks before the shop was read once wait, and after a
// while come again: making a lost index anew takes a minute for every million
// entries or so. A stream of events waits until then: a browser whose stream is
// refused asks for no other. How far it is, say says.
func (l *Live) WhenRead(next http.Handler, say func(w http.ResponseWriter, r *http.Request, status int, title, sentence string)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx := r.Context()
		if r.Header.Get("Accept") != eventStream {
			short, cancel := context.WithTimeout(ctx, patience)
			defer cancel()
			ctx = short
		}
		if l.Ready(ctx) == nil {
			next.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Retry-After", "3")
		w.Header().Set("Refresh", "3") // so that nobody has to ask again
		w.Header().Set("Cache-Control", "no-store")
		say(w, r, http.StatusServiceUnavailable, "In a moment", reading(l.Filling()))
	})
}

// reading says how far the journal was read.
func reading(f shop.Filling) string {
	how := "."
	if f.Of > 0 {
		how = fmt.Sprintf(" to rebuild its index: %d of %s so far.", f.Held, words.Count(f.Of, "entry"))
	}
	return "The journal is being read" + how + " Nothing is lost. This page appears by itself when that is done."
}
