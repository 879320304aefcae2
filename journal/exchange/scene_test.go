package exchange_test

import (
	"bytes"
	"context"
	"log/slog"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
)

const seed = "exchange"

// history is a shop of some thirty jobs, whose parts share runs, with slips
// that were corrected.
type history struct {
	*testing.T
	db   *sqlitelog.DB
	view *shop.View
}

func newHistory(t *testing.T, entries int) *history {
	t.Helper()
	watch := journaltest.NewWatch(journaltest.Morning())
	db, err := worktest.Open(t.Context(), worktest.Folder(t, seed, entries), seed, watch)
	if err != nil {
		t.Fatal(err)
	}
	idx, _, err := index.Open(t.Context(), filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = idx.Close()
		_ = db.Close()
	})
	in := shop.Open(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, db, idx, slog.New(slog.DiscardHandler))
	if err := in.CatchUp(t.Context()); err != nil {
		t.Fatal(err)
	}
	return &history{t, db, in.View(t.Context())}
}

// job is the source of one job.
func (h *history) job(id journal.JobID) *exchange.Source {
	st := h.view.Standing(id)
	if st == nil || h.view.Err() != nil {
		h.Fatalf("job %s: %v", id, h.view.Err())
	}
	return &exchange.Source{Shop: worktest.Shop, Jobs: []*shop.Standing{st}, Log: h.db}
}

// written writes a source in a format.
func written(t *testing.T, f exchange.Form, s *exchange.Source) []byte {
	t.Helper()
	var out bytes.Buffer
	if _, err := exchange.Write(context.Background(), &out, f, s); err != nil {
		t.Fatalf("%s: %v", f, err)
	}
	return out.Bytes()
}
