package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/record"
	"fettlebook/journal/recur"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// On a receipt people stand with their initials, and where the shop chose so with their full
// names, as far as their cards are here.
func TestFullNamesOnAReceipt(t *testing.T) {
	t.Parallel()
	p := newPlaces(t)
	is := *p.view().Shop.Person("mk").Stated
	is.Card = p.Card(journal.Details{Name: "Mara Kestrel"}).Card
	p.here("has a card", "person/mk", &is)
	desk := receipts{log: p.Log, originals: p.Photos, now: p.Now}
	receipt := func() string {
		view := p.view()
		asked := view.Standing(p.Job("job"))
		doc, _, err := desk.write(t.Context(), view, asked)
		p.check(err)
		return inHTML(p.html(doc))
	}
	if text := receipt(); !strings.Contains(text, "MK, 13 May 2026 11:14") || strings.Contains(text, "Kestrel") {
		t.Error("where nobody chose names, the receipt does not have the initials alone")
	}
	p.here("chose names", "shop/k7m2q4xw", journal.NewWriting(words.Writing{}, journal.ByFullName))
	if text := receipt(); !strings.Contains(text, "Mara Kestrel, 13 May 2026 11:14") || !strings.Contains(text, "JR, 13 May 2026 09:27") {
		t.Error("the receipt does not have the full name, and the initials of who has no card")
	}
}

// Over the demonstration's story, in each way of writing, nothing that people read has a
// number or a day in another way than the shop's: no page of a bench, no form, no record, no
// receipt, no report and no study.
func TestOneWayEverywhere(t *testing.T) {
	t.Parallel()
	p := newPlaces(t)
	coats := invented.Make(invented.Setting{Seed: 7, Parts: 300, Days: 365, Cause: invented.OneLot, Mixed: true}).Table()
	study, err := recur.Of(coats, recur.Question{Defect: "pinhole"})
	p.check(err)
	for _, way := range readonlytest.Ways() {
		p.here("wrote in another way", "shop/k7m2q4xw", journal.NewWriting(way, journal.ByInitials))
		told := make(map[string]bool)
		look := func(where, text string) {
			for _, found := range readonlytest.Otherwise(text, way) {
				if at := strings.Index(text, found); !told[found] && len(told) < 20 {
					told[found] = true
					t.Errorf("%+v: %s has %q: …%s…", way, where, found, strings.Join(strings.Fields(text[max(0, at-80):min(len(text), at+len(found)+40)]), " "))
				}
			}
		}
		pages := 0
		readonlytest.Sweep(t, p.pages, "/", func(path, page string) {
			pages++
			look(path, readonlytest.ReadOn(page))
		}, "/pair") // no line for telephones is open here
		if pages < 100 {
			t.Errorf("only %d pages were read", pages)
		}
		view := p.view()
		var said bytes.Buffer
		p.check(writeStudy(&said, study, way))
		p.check(writeCoats(&said, coats, coats.Len(), way))
		look("what the command line says of a study", said.String())
		for _, id := range p.jobs() {
			st := view.Standing(id)
			var text bytes.Buffer
			p.check(st.Job.WriteText(&text, record.Options{Beside: shop.Beside([]*shop.Standing{st}, view.Sealing(st.Job))}))
			look("the record of "+string(id), text.String())
			asked := paper.Asked{At: p.Now(), Photos: paper.Small{Thumbs: p.Log}}
			doc, err := paper.NewReport(t.Context(), view, paper.About{Jobs: []journal.JobID{id}}, asked)
			p.check(err)
			look("the report on "+string(id), readonlytest.ReadOn(p.html(doc)))
			if st.Job.Released == nil {
				continue
			}
			doc, err = paper.NewReceipt(t.Context(), view, st, asked)
			p.check(err)
			look("the receipt of "+string(id), readonlytest.ReadOn(p.html(doc)))
		}
	}
	if jobs := p.jobs(); !slices.ContainsFunc(jobs, func(id journal.JobID) bool { return p.view().Job(id).Released != nil }) {
		t.Error("no receipt was read")
	}
}
