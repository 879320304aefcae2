package gate_test

import (
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/gate"
)

func TestSameOrigin(t *testing.T) {
	for _, c := range []struct {
		name, method string
		header       http.Header
		want         int
	}{
		{"opened by a link elsewhere", "GET", http.Header{"Sec-Fetch-Site": {"cross-site"}, "Sec-Fetch-Mode": {"navigate"}}, 200},
		{"a picture on a page elsewhere", "GET", http.Header{"Sec-Fetch-Site": {"cross-site"}, "Sec-Fetch-Mode": {"no-cors"}}, 403},
		{"a stream to a page elsewhere", "GET", http.Header{"Sec-Fetch-Site": {"cross-site"}, "Sec-Fetch-Mode": {"cors"}}, 403},
		{"a picture on a page here", "GET", http.Header{"Sec-Fetch-Site": {"same-origin"}, "Sec-Fetch-Mode": {"no-cors"}}, 200},
		{"own form", "POST", http.Header{"Sec-Fetch-Site": {"same-origin"}}, 200},
		{"own form, older browser", "POST", http.Header{"Origin": {"http://localhost:8080"}}, 200},
		{"form sent without a script, which says both", "POST", http.Header{"Origin": {"http://localhost:8080"}, "Sec-Fetch-Site": {"same-origin"}, "Sec-Fetch-Mode": {"navigate"}}, 200},
		{"program of this machine that names the page", "POST", http.Header{"Origin": {"http://localhost:8080"}, "User-Agent": {"Go-http-client/1.1"}}, 200},
		{"from nowhere", "POST", nil, 403},
		{"from nowhere, deleting", "DELETE", nil, 403},
		{"from nowhere, by a method that nobody knows", "BREW", nil, 403},
		{"typed into the address line", "POST", http.Header{"Sec-Fetch-Site": {"none"}}, 403},
		{"only a referrer", "POST", http.Header{"Referer": {"http://localhost:8080/"}}, 403},
		{"an empty origin", "POST", http.Header{"Origin": {""}}, 403},
		{"read by a program", "GET", nil, 200},
		{"looked for by a program", "HEAD", nil, 200},
		{"form elsewhere", "POST", http.Header{"Sec-Fetch-Site": {"cross-site"}}, 403},
		{"form on another port here", "POST", http.Header{"Sec-Fetch-Site": {"same-site"}}, 403},
		{"form elsewhere, older browser", "POST", http.Header{"Origin": {"http://elsewhere.example"}}, 403},
		{"other port, older browser", "PUT", http.Header{"Origin": {"http://localhost:9999"}}, 403},
		{"page in a sandbox", "DELETE", http.Header{"Origin": {"null"}}, 403},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := httptest.NewRequest(c.method, "http://localhost:8080/entries", nil)
			r.Header = c.header
			w := httptest.NewRecorder()
			gate.SameOrigin(says("in"), nil).ServeHTTP(w, r)
			if w.Code != c.want || (w.Body.String() == "in") != (c.want == 200) {
				t.Errorf("%d %q, want %d", w.Code, w.Body, c.want)
			}
		})
	}
}

func TestBody(t *testing.T) {
	limit := func(r *http.Request) int64 {
		if r.URL.Path == "/photos" {
			return 1 << 20
		}
		return 0
	}
	for _, c := range []struct {
		name, path string
		size       int
		announced  bool
		want       int
	}{
		{"form", "/", gate.BodyLimit, true, 200},
		{"form too long", "/", gate.BodyLimit + 1, true, 413},
		{"form too long, unannounced", "/", gate.BodyLimit + 1, false, 400},
		{"photo", "/photos", 1 << 20, true, 200},
		{"photo too long", "/photos", 1<<20 + 1, true, 413},
		{"photo too long, unannounced", "/photos", 1<<20 + 1, false, 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			read := 0
			h := gate.Body(limit, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				raw, err := io.ReadAll(r.Body)
				read = len(raw)
				if tooLong := new(http.MaxBytesError); errors.As(err, &tooLong) {
					w.WriteHeader(http.StatusBadRequest)
				} else if err != nil {
					t.Error(err)
				}
			}), nil)
			r := httptest.NewRequest("POST", c.path, strings.NewReader(strings.Repeat("x", c.size)))
			if !c.announced {
				r.ContentLength = -1
			}
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			if w.Code != c.want {
				t.Errorf("%d, want %d", w.Code, c.want)
			}
			if c.want == 200 && read != c.size || c.want == 413 && (read != 0 || !strings.Contains(w.Body.String(), "KiB")) {
				t.Errorf("read %d bytes of %d, said %q", read, c.size, w.Body)
			}
		})
	}
	w := httptest.NewRecorder()
	gate.Body(nil, says("in"), nil).ServeHTTP(w, httptest.NewRequest("POST", "/", strings.NewReader(strings.Repeat("x", gate.BodyLimit+1))))
	if w.Code != 413 {
		t.Errorf("without limits of its own: %d", w.Code)
	}
}
