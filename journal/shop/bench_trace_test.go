//go:build unix

package shop_test

import (
	"math/rand/v2"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/trace"
)

// traced looks for what stands on vehicles and castings with one slip in it, and
// for what nothing is near to; it asks which vehicles share the last lots, and each
// tool since its last check, and traces the largest of these lots forwards.
func (m *measuring) traced(b *testing.B) {
	p := served(b, m.folder(b))
	v := p.shop.View(b.Context())
	dice := rand.New(rand.NewPCG(5, 6))
	jobs := v.Summaries(m.entries, record.Open, record.HandedBack, record.Sealed)
	var slips, lots took
	found := 0
	look := func(text string) {
		if len(text) < 4 {
			return
		}
		i, wrong := 1+dice.IntN(len(text)-1), "7"
		if text[i] == '7' || text[i] == '-' || text[i] == ' ' {
			i, wrong = 0, "W"
		}
		typed := text[:i] + wrong + text[i+1:] // wrong
		switch dice.IntN(4) {
		case 0:
			typed = text[:i] + text[i+1:] // missing
		case 1:
			typed = text[:i] + wrong + text[i:] // too many
		}
		at := begin()
		got := v.Look(typed, true, 50)
		slips.since(at)
		if found += len(got.Near); len(got.Found)+len(got.Near) == 0 {
			b.Errorf("%s is not found as %s", text, typed)
		}
	}
	for range 60 {
		s := jobs[dice.IntN(len(jobs))]
		look(s.VIN)
		look(s.Plate)
		for _, one := range s.Parts[:min(2, len(s.Parts))] {
			look(one.Mark)
			look(one.Number)
		}
	}
	for _, text := range []string{"QQQQQ", "Q9Q9Q9Q9", "0FTLN4E10TQQQQQQQ", "NOTHING-IS-SO-CALLED"} {
		at := begin()
		if got := v.Look(text, true, 50); len(got.Found)+len(got.Near) > 0 {
			b.Errorf("%s is found", text)
		}
		slips.since(at)
	}
	most, parts := journal.LotID(""), 0
	for _, lot := range v.Shop.Lots[max(0, len(v.Shop.Lots)-40):] {
		at := begin()
		s := v.Shared(journal.Of("lot", string(lot.ID)), nil)
		lots.since(at)
		if n := partsOf(s); n > parts {
			most, parts = lot.ID, n
		}
	}
	m.forwards(b, most)
	var tools took
	cars := 0
	for range 5 {
		for _, tool := range v.Shop.Tools {
			at := begin()
			s := v.Shared(journal.Of("tool", string(tool.ID)), nil)
			tools.since(at)
			cars = max(cars, len(s.Jobs))
		}
	}
	if v.Err() != nil || found == 0 {
		b.Fatal("nothing is near", v.Err())
	}
	m.report(b, "tool", tools)
	b.ReportMetric(float64(cars), "jobs/tool")
	m.report(b, "slip", slips)
	m.report(b, "lot", lots)
	b.ReportMetric(float64(parts), "parts/lot")
}

// forwards traces a lot in processes that have nothing in memory, and again.
func (m *measuring) forwards(b *testing.B, lot journal.LotID) {
	var first, again took
	for range 5 {
		p := served(b, m.folder(b))
		v := p.shop.View(b.Context())
		for i := range 5 {
			at := begin()
			t := trace.Of(v, "lot/"+string(lot), trace.Options{Customers: true})
			if i == 0 {
				first.since(at)
			} else {
				again.since(at)
			}
			if len(t.Right) == 0 || t.Cut || v.Err() != nil {
				b.Fatalf("lot %s was used on %d vehicles: %v", lot, len(t.Right), v.Err())
			}
		}
	}
	m.report(b, "lot-forwards-first", first)
	m.report(b, "lot-forwards-again", again)
}

func partsOf(s *shop.Shared) (n int) {
	for _, j := range s.Jobs {
		n += len(j.Of)
	}
	return n
}
