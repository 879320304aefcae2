package invented_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/invented"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/media"
)

// The work of an invented shop is honest, so that nothing shows in it but what was
// planted: every car went back with all its safety holds met, and of the others
// only the soak is not, of the parts that were soaked cooler than they were baked.
func TestHonestWork(t *testing.T) {
	for _, set := range settingsOf(small) {
		p := invented.Make(set)
		shop := book(t, p).Shop()
		stock := facts.StockOf(shop)
		text, err := card.Supplied(card.Usual)
		if err != nil {
			t.Fatal(err)
		}
		by, err := card.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		waived := 0
		for _, j := range p.Jobs {
			held := route.Hold(by, shop.Job(j.ID), stock)
			for _, unknown := range held.Ignorance() {
				t.Errorf("job %s went back with a safety hold that is not met: %v", j.ID, unknown)
			}
			cool := slices.ContainsFunc(j.Coats, func(c *invented.Coat) bool { return c.SoakMetal < c.BakeMetal })
			for v := range route.Each(held.Grid()) {
				switch {
				case v.State == route.Waived:
					waived++
				case v.State == route.Met, v.Hold == "soaked" && cool:
				default:
					t.Errorf("job %s: %s at %s is %s: %s", j.ID, v.Hold, v.Thing(), v.State, v.Why)
				}
			}
			if t.Failed() {
				t.FailNow()
			}
		}
		t.Logf("%d jobs, %d squares waived", len(p.Jobs), waived)
	}
}

// book has the entries of a plan.
func book(t *testing.T, p *invented.Plan) *record.Book {
	t.Helper()
	steps, err := p.Steps()
	if err != nil {
		t.Fatal(err)
	}
	return written(t, steps)
}

// written has the entries of steps, with a photograph for each that is asked for.
func written(t *testing.T, steps []invented.Step) *record.Book {
	t.Helper()
	book := record.NewBook(journal.Authority{Hub: "office"})
	logs := invented.NewLogs("w0rkt3st", "office", proof.Tree{}, rand.NewChaCha8([32]byte{1}))
	for n, s := range steps {
		plain := s.Data
		s.Data = func() (journal.Payload, error) {
			data, err := plain()
			for i, shot := range s.Shots {
				ref := media.Ref{1, byte(n), byte(n >> 8), byte(n >> 16), byte(i)}
				journal.Attach(data, journal.Photo{Ref: ref, Thumb: ref, Role: shot.Role})
			}
			return data, err
		}
		l, err := logs.Write(s)
		if err != nil {
			t.Fatal(err)
		}
		book.Add(l)
	}
	return book
}
