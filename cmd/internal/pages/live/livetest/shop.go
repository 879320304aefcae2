// Package livetest gives tests of pages the folded shop of a log.
package livetest

import (
	"context"
	"log/slog"
	"path/filepath"
	"testing"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
)

// Log is what a shop is folded from, which wakes it.
type Log interface {
	shop.Log
	shop.Waker
}

// Open folds the shop of a log, with an index of its own, and keeps it up to
// date until the test ends.
func Open(t testing.TB, by journal.Authority, log Log) *live.Live {
	t.Helper()
	idx, _, err := index.Open(t.Context(), filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	s := shop.Open(by, log, idx, slog.New(slog.DiscardHandler))
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := s.Run(ctx, log); err != nil {
			t.Error(err)
		}
	}()
	t.Cleanup(func() {
		cancel()
		<-done
		if err := idx.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := s.Ready(t.Context()); err != nil {
		t.Fatal(err)
	}
	return live.New(s)
}
