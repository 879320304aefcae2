package readonlytest

import (
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
)

// Sweep reads every page of a site to which its pages lead from a first one, and gives each
// to whoever looks at it, with its path. Of the questions that a page
// can be asked a few are: they narrow what is read anyway. Pages that stand apart are not asked for.
func Sweep(t testing.TB, site http.Handler, first string, look func(path, page string), apart ...string) {
	t.Helper()
	const mostAsked = 3 // of the questions that a page can be asked
	asked := make(map[string]int)
	seen, waiting := map[string]bool{first: true}, []string{first}
	for len(waiting) > 0 {
		path := waiting[0]
		waiting = waiting[1:]
		answer := httptest.NewRecorder()
		site.ServeHTTP(answer, httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil))
		if to := answer.Header().Get("Location"); to != "" && !seen[to] && strings.HasPrefix(to, "/") {
			seen[to] = true
			waiting = append(waiting, to)
		}
		if !strings.HasPrefix(answer.Header().Get("Content-Type"), "text/html") {
			continue
		}
		page := answer.Body.String()
		look(path, page)
		for _, to := range Links(page) {
			base, query, asks := strings.Cut(to, "?")
			if asks {
				if asked[base]++; asked[base] > mostAsked || strings.Contains(query, "&") {
					continue
				}
			}
			if !seen[to] && !slices.Contains(apart, base) {
				seen[to] = true
				waiting = append(waiting, to)
			}
		}
	}
}
