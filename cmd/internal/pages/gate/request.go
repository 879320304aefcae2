package gate

import (
	"fmt"
	"net/http"
)

// BodyLimit is how many bytes a request may carry where nothing else is said: a
// form of one entry fits many times over.
const BodyLimit = 64 << 10

// Body caps what a request may carry at limit bytes. A nil limit, or one that
// returns 0, means [BodyLimit]. A request that announces more is answered with
// 413; one that turns out longer fails in reading with *http.MaxBytesError.
func Body(limit func(*http.Request) int64, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		n := int64(0)
		if limit != nil {
			n = limit(r)
		}
		if n <= 0 {
			n = BodyLimit
		}
		if r.ContentLength > n {
			http.Error(w, fmt.Sprintf("What was sent is too large; at most %d KiB can be taken here.", n>>10), http.StatusRequestEntityTooLarge)
			return
		}
		capped := *r
		capped.Body = http.MaxBytesReader(w, r.Body, n)
		next.ServeHTTP(w, &capped)
	})
}

// SameOrigin answers 403 to what a page of another origin sends by a method that
// may change something, and to what it loads without leading a person here: a
// picture or a stream tells when something was written. Another port of this
// machine is another origin. (Fetch Metadata Request Headers, W3C.)
func SameOrigin(next http.Handler) http.Handler {
	p := http.NewCrossOriginProtection()
	p.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		http.Error(w, "This was sent by a page of another site, so nothing was done; send it from the page here.", http.StatusForbidden)
	}))
	return p.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Sec-Fetch-Site") == "cross-site" && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
			http.Error(w, "Another site may link here, but may not load anything from here.", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	}))
}
