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
func Body(limit func(*http.Request) int64, next http.Handler, refuse Refuse) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		n := int64(0)
		if limit != nil {
			n = limit(r)
		}
		if n <= 0 {
			n = BodyLimit
		}
		if r.ContentLength > n {
			refuse.answer(w, r, http.StatusRequestEntityTooLarge, "Too large", fmt.Sprintf("What was sent is too large, so nothing was written. At most %d KiB can be taken here at once; go back and send less.", n>>10))
			return
		}
		capped := *r
		capped.Body = http.MaxBytesReader(w, r.Body, n)
		next.ServeHTTP(w, &capped)
	})
}

// SameOrigin answers 403 to what a page of another origin sends by a method that
// may change something, to what does not say from which page it was sent, and to
// what a page elsewhere loads without leading a person here: a picture or a stream
// tells when something was written. Another port of this machine is another origin.
// Every browser says in Origin or in Sec-Fetch-Site where a form was sent from, with
// and without a script. (Fetch Metadata Request Headers, W3C.)
func SameOrigin(next http.Handler, refuse Refuse) http.Handler {
	p := http.NewCrossOriginProtection()
	p.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		refuse.answer(w, r, http.StatusForbidden, "Sent from elsewhere", "This was sent by a page of another site, so nothing was done. Open the page here, and send it from there.")
	}))
	return p.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if writes(r) && r.Header.Get("Origin") == "" && r.Header.Get("Sec-Fetch-Site") != "same-origin" {
			refuse.answer(w, r, http.StatusForbidden, "Sent from nowhere", "This does not say from which page it was sent, so nothing was done. Open the page in a browser and send it from there. A program that sends forms names the address of these pages in the header Origin.")
			return
		}
		if r.Header.Get("Sec-Fetch-Site") == "cross-site" && r.Header.Get("Sec-Fetch-Mode") != "navigate" {
			refuse.answer(w, r, http.StatusForbidden, "Asked for from elsewhere", "Another site may link here, but may not load anything from here. Open the page by itself.")
			return
		}
		next.ServeHTTP(w, r)
	}))
}

// writes reports whether a request may change something. (RFC 9110 section 9.2.1.)
func writes(r *http.Request) bool {
	switch r.Method {
	case http.MethodGet, http.MethodHead, http.MethodOptions:
		return false
	}
	return true
}
