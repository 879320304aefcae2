//go:build unix

package shop_test

import (
	"math/rand/v2"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// traced looks for what stands on vehicles and castings with one slip in it, and
// asks which vehicles share the last lots, and each tool since its last check.
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
		i := 1 + dice.IntN(len(text)-1)
		at := begin()
		got := v.Look(text[:i]+"#"+text[i+1:], true, 50)
		slips.since(at)
		if found += len(got.Near); len(got.Near) == 0 {
			b.Errorf("%s is not found with a slip at %d", text, i)
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
	most := 0
	for _, lot := range v.Shop.Lots[max(0, len(v.Shop.Lots)-40):] {
		at := begin()
		s := v.Shared(journal.Of("lot", string(lot.ID)), nil)
		lots.since(at)
		most = max(most, partsOf(s))
	}
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
	if v.Err() != nil {
		b.Fatal(v.Err())
	}
	m.report(b, "tool", tools)
	b.ReportMetric(float64(cars), "jobs/tool")
	m.report(b, "slip", slips)
	m.report(b, "lot", lots)
	b.ReportMetric(float64(most), "parts/lot")
}

func partsOf(s *shop.Shared) (n int) {
	for _, j := range s.Jobs {
		n += len(j.Of)
	}
	return n
}
