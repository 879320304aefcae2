package shop_test

import (
	"context"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
)

// While many entries are taken in at once, one that cites what is not in the
// index yet stands where it does otherwise.
func TestFillLooksBack(t *testing.T) {
	l := newLogs()
	watch := journaltest.NewWatch(journaltest.Morning())
	first, second := journaltest.NewAuthor("bench-1", watch, "one"), journaltest.NewAuthor("bench-2", watch, "two")
	remark := func(by *journaltest.Author) *journal.Entry {
		watch.Advance(time.Second)
		e, err := by.Write(journal.Draft{Subject: "job/j0b00001", By: "mk", Data: &journal.Remark{Evidence: journal.Evidence{Note: "a remark"}}})
		if err != nil {
			t.Fatal(err)
		}
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		l.arrive(e.Source.Device, raw)
		return e
	}
	for range 6000 {
		remark(first)
	}
	tree := new(proof.Tree)
	for _, e := range l.held["bench-1"][:3000] {
		tree.Append(e.Bytes)
	}
	root := tree.Root()
	second.After = journal.After{{Device: "bench-1", Size: 3000, Root: [16]byte(root[:16])}}
	citing := remark(second)
	s, idx := open(t, l, t.TempDir())
	defer idx.Close()
	if err := s.Follow(context.Background()); err != nil {
		t.Fatal(err)
	}
	v := s.View(context.Background())
	lines := v.Line(citing.ID)
	if len(lines) != 1 || lines[0].Waits != nil || v.Err() != nil {
		t.Fatalf("the entry that cites 3000 of bench-1 is %+v (%v)", lines, v.Err())
	}
}
