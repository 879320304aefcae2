package main

import (
	"context"
	"crypto/rand"
	"io"
	"log/slog"
	"net/http"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/journal/trade/unit"

	"go.uber.org/goleak"
)

// Pages that are closed leave nothing at work that reads their log, also
// when the program itself goes on and a browser is still listening.
func TestClosedPagesLeaveNothingRunning(t *testing.T) {
	term := &terminal{Out: io.Discard, Err: io.Discard, Data: filepath.Join(t.TempDir(), "shop"),
		Now: time.Now, Rand: rand.Reader, Logger: slog.New(slog.DiscardHandler)}
	if err := (&hubInit{Shop: "Backyard Brakes", By: "io", Units: unit.MetricName, hubAt: hubAt{Address: []string{"127.0.0.1"}}}).begin(t.Context(), term); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Open(t.Context(), term.Data, folder.Options{Now: time.Now, Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	before := goleak.IgnoreCurrent()
	site, err := openBench(context.WithoutCancel(t.Context()), term, f, benchAt{Pages: "127.0.0.1:0"}, hubLine{standing: func() bench.Standing { return bench.Standing{} }})
	if err != nil {
		t.Fatal(err)
	}
	browser := &http.Client{Transport: new(http.Transport)}
	answer, err := browser.Get(site.address + "/live")
	if err != nil {
		t.Fatal(err)
	}
	if got := answer.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Fatalf("%s: %s, want a stream of events", answer.Status, got)
	}
	site.close(t.Context()) // while the browser still listens
	answer.Body.Close()
	browser.CloseIdleConnections()
	goleak.VerifyNone(t, before)
	if err := f.Close(); err != nil {
		t.Error(err)
	}
}
