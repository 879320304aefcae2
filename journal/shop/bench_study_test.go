//go:build unix

package shop_test

import (
	"testing"

	"fettlebook/journal/recur"
)

// study asks what the most frequent defect goes with, over all coats of the shop:
// in a process that has nothing in memory, and again each time that one more entry
// was written.
func (m *measuring) study(b *testing.B) {
	served(b, m.folder(b)).shop.View(b.Context()).Parts() // so that no summary is due
	var first, after, tabled took
	for range 5 {
		p := served(b, m.folder(b))
		at := begin()
		studied(b, p, new(recur.Kept))
		first.since(at)
	}
	p := served(b, copied(b, m.folder(b)))
	kept := new(recur.Kept)
	s := studied(b, p, kept)
	drafts := again(b, p.log)
	for _, d := range drafts[len(drafts)-60:] {
		must(p.log.Append(b.Context(), d))(b)
		at := begin()
		if err := p.shop.Follow(b.Context()); err != nil {
			b.Fatal(err)
		}
		p.shop.View(b.Context()).Parts()
		tabled.since(at)
		s = studied(b, p, kept)
		after.since(at)
	}
	m.report(b, "study-first", first)
	m.report(b, "study-again", after)
	m.report(b, "table-again", tabled)
	b.ReportMetric(float64(s.Looked), "coats")
	b.ReportMetric(float64(s.Tested), "factors")
	b.ReportMetric(float64(s.Tries), "tries")
	b.ReportMetric(float64(len(s.Accused)), "accused")
}

// studied makes a study of everything, which has to accuse what the history has in
// it.
func studied(b *testing.B, p *process, kept *recur.Kept) *recur.Study {
	v := p.shop.View(b.Context())
	s := must(kept.Of(v.Parts(), recur.Question{}))(b)
	if len(s.Accused) == 0 || v.Err() != nil {
		b.Fatalf("of %d coats nothing is accused: %v", s.Looked, v.Err())
	}
	return s
}
