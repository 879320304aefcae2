package shop_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/shop"
)

// A run's summary makes those of its jobs old. When the background has done its
// work none is left, however few they were.
func TestNoSummaryIsLeft(t *testing.T) {
	w := newWriters(t)
	part := journal.About("j0b00001", "LF", "caliper")
	coat := &journal.Coating{Lot: "pw-1", Coat: 1}
	coat.Parts = []journal.Subject{part}
	for _, d := range []journal.Draft{{Subject: part, By: "mk", Data: new(journal.Removal)}, {Subject: "run/bake-1", By: "mk", Data: coat}} {
		w.drafted("bench-1", d)
	}
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n, err := shop.SummarizeAll(s, t.Context()); err != nil || n == 0 {
		t.Fatalf("%d summaries were worked out (%v)", n, err)
	}
	dirty, err := idx.DirtyHomes(t.Context(), shop.Edition(), 10)
	if err != nil || len(dirty) > 0 {
		t.Errorf("%v are still to be summarized (%v)", dirty, err)
	}
}
