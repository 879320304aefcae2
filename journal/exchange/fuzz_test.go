package exchange_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/exchange"
	"fettlebook/journal/trade/unit"
)

// Whatever people write, each format can be read back: EPCIS has an event for each
// entry of the job, the lines are the entries' bytes, and every row of the tables
// has all columns and no formula in it.
func FuzzTexts(f *testing.F) {
	f.Add("FB 204", "blasted, the left one twice")
	f.Add("=1+1", "=HYPERLINK(\"x\")")
	f.Add("ÄÖ/1 %2f", "two\r\nlines\tand \u2028 more")
	f.Add("-1", "\ufeff@SUM(1)")
	f.Fuzz(func(t *testing.T, plate, said string) {
		h := newHub(t)
		job := journal.About("4f7kk2m9", "", "")
		before := len(h.log)
		if _, err := h.try(job, &journal.Job{Vehicle: journal.Vehicle{Plate: plate}, Wish: said, Corners: []journal.Corner{journal.LeftFront}, Route: card.Usual, Edition: 1}); err != nil {
			return // nobody can write that
		}
		part := job + "/corner/LF/part/arm"
		for _, data := range []journal.Payload{&journal.Tagging{Tag: said, Metal: journal.Iron}, &journal.Blasting{Media: said}, &journal.Remark{Evidence: journal.Evidence{Note: said}}} {
			if _, err := h.try(part, data); err != nil {
				return
			}
		}
		s := h.source("4f7kk2m9")
		if got := len(events(decoded(t, written(t, exchange.EPCIS, s)))); got != len(h.log)-before {
			t.Errorf("%d events of %d entries", got, len(h.log)-before)
		}
		for line := range bytes.Lines(written(t, exchange.Events, s)) {
			if !slices.ContainsFunc(h.log, func(l journal.Logged) bool { return bytes.Equal(l.Bytes, bytes.TrimSuffix(line, []byte("\n"))) }) {
				t.Errorf("%q is not an entry", line)
			}
		}
		for _, form := range []exchange.Form{exchange.CSV, exchange.Columns} {
			for _, row := range rows(t, written(t, form, s)) {
				for _, text := range row {
					bare := strings.TrimLeft(text, " \t\r\n\ufeff")
					if _, err := unit.Number(text); err != nil && strings.IndexAny(bare, "=+-@") == 0 {
						t.Errorf("%s: the cell %q", form, text)
					}
				}
			}
		}
	})
}
