//go:build unix

package shop_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// parts asks for the parts table for the first time, and again each time that a
// job is of another state.
func (m *measuring) parts(b *testing.B) {
	p := served(b, m.folder(b))
	list := p.shop.View(b.Context()).Summaries(20, record.Open, record.HandedBack, record.Sealed)
	p.shop.View(b.Context()).Parts() // so that no summary is due
	var first, again took
	rows := 0
	for range 3 {
		p := served(b, m.folder(b))
		ask := func(t *took) {
			at := begin()
			v := p.shop.View(b.Context())
			if rows = v.Parts().Len(); rows == 0 || v.Err() != nil {
				b.Fatalf("%d rows: %v", rows, v.Err())
			}
			t.since(at)
		}
		ask(&first)
		for _, j := range list {
			if err := p.index.MarkDirty(b.Context(), journal.About(j.Job, "", "")); err != nil {
				b.Fatal(err)
			}
			ask(&again)
		}
	}
	m.report(b, "first", first)
	m.report(b, "again", again)
	b.ReportMetric(float64(rows), "rows")
}
