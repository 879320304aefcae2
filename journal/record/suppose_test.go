package record_test

import (
	"testing"

	"fettlebook/journal/record"
)

// TestSuppose: supposing an entry tells what taking it in would, and leaves
// the book as it was.
func TestSuppose(t *testing.T) {
	logs := day(t)
	last := logs[0][len(logs[0])-1]
	logs[0] = logs[0][:len(logs[0])-1]
	book := record.NewBook(officeHub)
	for _, log := range logs {
		for _, l := range log {
			book.Add(l)
		}
	}
	before := jobJSON(t, book.Shop())
	supposed := jobJSON(t, book.Suppose(last))
	if after := jobJSON(t, book.Shop()); after != before {
		t.Error("supposing an entry changed the book")
	}
	book.Add(last)
	if taken := jobJSON(t, book.Shop()); supposed != taken {
		t.Errorf("supposed\n%s\ntaken in\n%s", supposed, taken)
	}
	if supposed == before {
		t.Error("the entry says nothing, so this test proves nothing")
	}
}

func jobJSON(tb testing.TB, shop *record.Shop) (all string) {
	tb.Helper()
	for _, j := range shop.Jobs {
		raw, err := j.JSON(record.Options{Receipts: true})
		if err != nil {
			tb.Fatal(err)
		}
		all += string(raw)
	}
	return all
}

// TestBackwards yields what All yields, the other way round.
func TestBackwards(t *testing.T) {
	shop := fold(day(t)...)
	var forward, back []*record.Line
	for l := range shop.All() {
		forward = append(forward, l)
	}
	for l := range shop.Backwards() {
		back = append(back, l)
	}
	if len(forward) == 0 || len(back) != len(forward) {
		t.Fatalf("%d lines forward, %d backward", len(forward), len(back))
	}
	for i, l := range forward {
		if back[len(back)-1-i] != l {
			t.Fatalf("line %d is another one backwards", i)
		}
	}
}
