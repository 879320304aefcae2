package record_test

import (
	"encoding/json"
	"io"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Whatever bytes come, nothing is lost, and the record of what they are about
// stays JSON.
func FuzzAdd(f *testing.F) {
	for _, log := range day(f) {
		for _, l := range log {
			f.Add(l.Bytes)
		}
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		book := record.NewBook(officeHub)
		book.Add(journal.Logged{Position: journal.Position{Device: "a"}, Bytes: raw})
		shop := book.Shop()
		for _, j := range shop.Jobs {
			if !json.Valid([]byte(jsonOf(t, j, record.Options{Receipts: true}))) {
				t.Error("the record is no JSON")
			}
			if err := j.WriteText(io.Discard, record.Options{Clocks: true}); err != nil {
				t.Error(err)
			}
		}
		n := len(shop.Loose)
		for l := range shop.All() {
			_ = l.Says()
			n++
		}
		if n == 0 {
			t.Error("the bytes are lost")
		}
	})
}
