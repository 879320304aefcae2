package pages_test

import (
	"crypto/rand"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/founding"
	"fettlebook/cmd/internal/pages/gate"
)

var styleOf = regexp.MustCompile(`<link rel="stylesheet" href="([^"]+)">`)

// What the gate refuses has the look of every page, says what to do, and leads on
// where there is a way; a script is told the sentence alone.
func TestRefusalsWearTheLook(t *testing.T) {
	var log strings.Builder
	shell, err := pages.New(pages.Options{Set: "bench", Now: time.Now, Logger: slog.New(slog.NewTextHandler(&log, nil))}, founding.Templates())
	if err != nil {
		t.Fatal(err)
	}
	sessions, err := gate.OpenSessions(gate.Keep{Path: filepath.Join(t.TempDir(), "sessions.json"), Scope: "k7f2m9qa", Now: time.Now, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	inside := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write([]byte("inside")) })
	at := gate.Gate{Sessions: sessions, Refuse: shell.Refuse}.Bench(inside, inside).Loopback
	ask := func(method, url string, length int64, header ...string) *httptest.ResponseRecorder {
		r, w := httptest.NewRequest(method, url, nil), httptest.NewRecorder()
		r.ContentLength = length
		for i := 0; i < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		at.ServeHTTP(w, r)
		return w
	}
	const here, elsewhere = "http://localhost:8080", "http://elsewhere.example:8080"
	person := []string{"Accept", "text/html,application/xhtml+xml"}
	for _, c := range []struct {
		what, method, url string
		length            int64
		header            []string
		status            int
		says              string
		way               bool
	}{
		{"by another name", "GET", elsewhere + "/job/4f7kk2m9", 0, nil, 421, "Open the page by the address that the program printed", false},
		{"sent from elsewhere", "POST", here + "/write/note.made/job/4f7kk2m9", 0, []string{"Sec-Fetch-Site", "cross-site"}, 403, "Open the page here, and send it from there.", true},
		{"sent from nowhere", "POST", here + "/write/note.made/job/4f7kk2m9", 0, nil, 403, "Open the page in a browser and send it from there.", true},
		{"loaded from elsewhere", "GET", here + "/", 0, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors"}, 403, "Open the page by itself.", true},
		{"too large", "POST", here + "/", gate.BodyLimit + 1, []string{"Sec-Fetch-Site", "same-origin"}, 413, "nothing was written", true},
	} {
		t.Run(c.what, func(t *testing.T) {
			log.Reset()
			w := ask(c.method, c.url, c.length, append(c.header, person...)...)
			if lines := strings.Count(log.String(), "\n"); lines != 1 || !strings.Contains(log.String(), "refused at the door") {
				t.Errorf("it is logged in %d lines: %s", lines, log.String())
			}
			body := w.Body.String()
			if w.Code != c.status || !strings.Contains(body, c.says) || strings.Contains(body, "inside") {
				t.Errorf("%d, and says %s", w.Code, body)
			}
			if strings.Contains(body, `href="/"`) != c.way {
				t.Errorf("a way on: %t, in %s", !c.way, body)
			}
			if !strings.Contains(w.Header().Get("Content-Security-Policy"), "default-src 'none'") {
				t.Error("it has no policy")
			}
			style := styleOf.FindStringSubmatch(body)
			if style == nil {
				t.Fatalf("it has no style: %s", body)
			}
			if c.status == http.StatusMisdirectedRequest { // no other name leads anywhere else
				if w := ask("GET", elsewhere+style[1], 0); w.Code != http.StatusOK || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/css") {
					t.Errorf("its style gives %d, %s", w.Code, w.Header().Get("Content-Type"))
				}
				if w := ask("POST", elsewhere+style[1], 0); w.Code != c.status {
					t.Errorf("what is sent to its style gives %d", w.Code)
				}
			}
			plain := ask(c.method, c.url, c.length, c.header...)
			if text := plain.Body.String(); plain.Code != c.status || strings.Contains(text, "<") || !strings.Contains(text, c.says) {
				t.Errorf("a script gets %d %q", plain.Code, text)
			}
		})
	}
}
