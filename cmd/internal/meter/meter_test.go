package meter_test

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/meter"
)

func ask(h http.Handler, path string, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodGet, path, nil)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestHealth(t *testing.T) {
	h := meter.Health{Role: "hub", Device: "k7f2m9qa", Notes: []string{"A backup is late."}}
	m := &meter.Meter{Health: func(context.Context) meter.Health { return h }}
	if w := ask(m.Handler(), "/healthz"); w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/json" ||
		w.Body.String() != `{"format":"fettlebook-health/1","well":true,"role":"hub","device":"k7f2m9qa","notes":["A backup is late."]}`+"\n" {
		t.Errorf("well: %d %s", w.Code, w.Body)
	}
	h.Problems = []string{"The disk is full."}
	if w := ask(m.Handler(), "/healthz"); w.Code != http.StatusServiceUnavailable || !strings.Contains(w.Body.String(), `"well":false`) {
		t.Errorf("not well: %d %s", w.Code, w.Body)
	}
}

func TestFigures(t *testing.T) {
	entries := &meter.Figure{Name: "fettlebook_entries", Help: "Entries of a log that are here.", Of: []string{"device"}}
	refusals := &meter.Figure{Name: "fettlebook_refusals_total", Help: "What was refused.", Total: true}
	list, trouble := []meter.Reading{entries.At(1234567, "k7f2m9qa"), entries.At(0, `a"b`), refusals.At(2)}, error(nil)
	m := &meter.Meter{Readings: func(context.Context) ([]meter.Reading, error) { return list, trouble }}
	const want = `# HELP fettlebook_entries Entries of a log that are here.
# TYPE fettlebook_entries gauge
fettlebook_entries{device="a\"b"} 0
fettlebook_entries{device="k7f2m9qa"} 1.234567e+06
# HELP fettlebook_refusals_total What was refused.
# TYPE fettlebook_refusals_total counter
fettlebook_refusals_total 2
`
	for range 2 { // nothing is kept from one look to the next
		w := ask(m.Handler(), "/metrics")
		var ours strings.Builder
		for line := range strings.Lines(w.Body.String()) {
			if strings.Contains(line, "fettlebook_") {
				ours.WriteString(line)
			}
		}
		if w.Code != http.StatusOK || ours.String() != want {
			t.Errorf("%d %s", w.Code, &ours)
		}
		if !strings.Contains(w.Body.String(), "\ngo_goroutines ") { // and those of the program itself
			t.Errorf("it does not tell of the program: %s", w.Body)
		}
	}
	list = append(list, entries.At(1, "k7f2m9qa"))
	if w := ask(m.Handler(), "/metrics"); w.Code != http.StatusInternalServerError {
		t.Errorf("one figure twice: %d", w.Code)
	}
	trouble = errors.New("the journal is closed")
	if w := ask(m.Handler(), "/metrics"); w.Code != http.StatusInternalServerError || !strings.Contains(w.Body.String(), "the journal is closed.") {
		t.Errorf("in trouble: %d %s", w.Code, w.Body)
	}
	if w := ask(m.Handler(), "/"); w.Code != http.StatusNotFound {
		t.Errorf("elsewhere: %d", w.Code)
	}
}

func TestToken(t *testing.T) {
	file := filepath.Join(t.TempDir(), "token")
	const text = "c0ffee-and-twenty-more-0123"
	for name, held := range map[string]string{"empty": "", "short": "hunter2", "two lines": text + "\n" + text, "spaces": "a token of several words", "too long": strings.Repeat("a", 513), "not text": text + "\x00", "umlaut": text + "ä"} {
		if err := os.WriteFile(file, []byte(held), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := meter.ReadToken(file); !errors.Is(err, meter.ErrToken) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := meter.ReadToken(file + "-away"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
	if err := os.WriteFile(file, []byte(" "+text+"\r\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	token, err := meter.ReadToken(file)
	if err != nil {
		t.Fatal(err)
	}
	inside := token.Require(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) }), func(*http.Request) {})
	for _, trial := range []struct {
		header string
		want   int
	}{
		{"Bearer " + text, http.StatusNoContent},
		{"bearer " + text, http.StatusNoContent}, // the name of a scheme is case-insensitive
		{"", http.StatusUnauthorized},
		{text, http.StatusUnauthorized},
		{"Basic " + text, http.StatusUnauthorized},
		{"Bearer " + text[:len(text)-1], http.StatusUnauthorized},
		{"Bearer " + text + " ", http.StatusUnauthorized},
		{"Bearer", http.StatusUnauthorized},
		{"Bearer ", http.StatusUnauthorized},
	} {
		if w := ask(inside, "/", "Authorization", trial.header); w.Code != trial.want {
			t.Errorf("%q: %d, want %d", trial.header, w.Code, trial.want)
		}
	}
	if w := ask(inside, "/"); w.Header().Get("WWW-Authenticate") != "Bearer" || strings.Contains(w.Body.String(), text) {
		t.Errorf("%v %s", w.Header(), w.Body)
	}
}
