package live

import (
	"context"
	"net/http"
	"time"
)

// patience is how long an answer waits for a shop that is being read.
const patience = 3 * time.Second

// WhenRead has whoever asks before the shop was read once wait, and after a
// while come again: making a lost index anew takes minutes in a large shop.
func (l *Live) WhenRead(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), patience)
		err := l.Ready(ctx)
		cancel()
		if err == nil {
			next.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Retry-After", "3")
		w.Header().Set("Refresh", "3") // so that nobody has to ask again
		w.Header().Set("Cache-Control", "no-store")
		http.Error(w, "The journal is being read, which takes minutes once its index was lost. Nothing is missing: this page comes by itself when that is done, and the program's log says how far it is.", http.StatusServiceUnavailable)
	})
}
