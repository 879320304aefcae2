package live_test

import (
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
)

// Whoever asks before the journal was read is told to come again; nobody
// is shown an empty shop.
func TestBeforeTheJournalIsRead(t *testing.T) {
	idx, _, err := index.Open(t.Context(), filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer idx.Close()
	synctest.Test(t, func(t *testing.T) {
		l := live.New(shop.Open(journal.Authority{Hub: "hub0c1n2"}, nil, idx, slog.New(slog.DiscardHandler)))
		h := l.WhenRead(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { t.Error("a page was shown") }), func(w http.ResponseWriter, _ *http.Request, status int, _, _ string) { w.WriteHeader(status) })
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/", nil))
		if w.Code != http.StatusServiceUnavailable || w.Header().Get("Refresh") == "" {
			t.Errorf("answered %d, Refresh %q", w.Code, w.Header().Get("Refresh"))
		}
		// A browser whose stream of events is refused never asks for it again.
		ctx, cancel := context.WithTimeout(t.Context(), time.Hour)
		defer cancel()
		r, began := httptest.NewRequestWithContext(ctx, http.MethodGet, "/live", nil), time.Now()
		r.Header.Set("Accept", "text/event-stream")
		if h.ServeHTTP(httptest.NewRecorder(), r); time.Since(began) < time.Hour {
			t.Errorf("a stream is refused after %s", time.Since(began))
		}
	})
}
