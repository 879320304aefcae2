package route_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/route"

	"github.com/go-json-experiment/json"
)

// eventful is a job in which much went wrong, on three machines.
func eventful(tb testing.TB) *story {
	s := complete(tb)
	torqueAs(s, "LF banjo bolt", "220 N.m")
	s.after("RF bleed", late(at("LF", ""), journal.LineOpening{At: "banjo LF"}))
	edit(s, "film LF caliper", func(f *journal.FilmReadings) { f.Spots = spots("130 µm") })
	s.add(
		linked("correction", bench2, at("LF", ""), "mk", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids["LF banjo bolt"], Reason: "slip"}
		}),
		waiver("waived", at("LF", "caliper"), "io", "film"),
		released(),
		plain("found", office, "tool/tw-1", "io", journal.ToolCheck{Tool: "tw-1", Result: "out of tolerance"}),
	)
	return s
}

// told writes down all that a card says of a job.
func told(tb testing.TB, pinned *card.Card, log []journal.Logged) string {
	tb.Helper()
	job, shop := fold(log)
	raw, err := json.Marshal([]any{
		held(pinned, job, shop).Check(), held(pinned, job, shop).Next(), held(pinned, job, shop).Ignorance(),
		route.FollowUps(pinned, job, journaltest.Morning().Add(1000*time.Hour)),
	})
	if err != nil {
		tb.Fatal(err)
	}
	return string(raw)
}

// Verdicts hang on what was written and not on when it arrived.
func TestAnyOrderOfArrival(t *testing.T) {
	pinned := supplied(t, "caliper")
	log := eventful(t).write().log
	want := told(t, pinned, log)
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 1))
		arrivals := append([]journal.Logged(nil), log...)
		arrivals = append(arrivals, log[:r.IntN(len(log))]...) // some come twice
		r.Shuffle(len(arrivals), func(i, j int) { arrivals[i], arrivals[j] = arrivals[j], arrivals[i] })
		if got := told(t, pinned, arrivals); got != want {
			t.Fatalf("order %d gives other verdicts:\n%s\nwant\n%s", seed, got, want)
		}
	}
}

// Entries of a newer kind are kept in the record and count for nothing.
func TestNewerKind(t *testing.T) {
	pinned := supplied(t, "caliper")
	w := complete(t).write()
	job, shop := fold(w.log)
	want, err := json.Marshal(route.Check(pinned, job, shop))
	if err != nil {
		t.Fatal(err)
	}
	author := journaltest.NewAuthor("bench-9", journaltest.NewWatch(journaltest.Morning().Add(2*time.Hour)), "newer")
	for _, about := range []journal.Subject{at("", ""), at("LF", ""), at("LF", "caliper"), "run/bake-1"} {
		e, err := author.Write(journal.Draft{Subject: about, By: "mk", Data: &journal.Remark{Evidence: journal.Evidence{Note: "n"}}})
		if err != nil {
			t.Fatal(err)
		}
		e.Type, e.Data = journal.Type{Kind: "hub.polished", Version: 1}, []byte(`{"wheel":"felt"}`)
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		w.log = append(w.log, journal.Logged{Position: journal.Position{Device: "bench-9"}, Bytes: raw})
	}
	job, shop = fold(w.log)
	got, err := json.Marshal(route.Check(pinned, job, shop))
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// large is the log of a job of four hundred entries: the complete job, with
// remarks, photographs and looks at the reservoir in between.
func large(b *testing.B) []journal.Logged {
	s := complete(b)
	for i := 0; len(s.steps) < 400; i++ {
		about := []journal.Subject{at("", ""), at("LF", ""), at("RF", "caliper"), "run/bake-1"}[i%4]
		s.after("LF strip", plain("remark", bench2, about, "mk", journal.Remark{Evidence: journal.Evidence{Note: "a remark"}}))
	}
	return s.write().log
}

func BenchmarkCheck(b *testing.B) {
	pinned := supplied(b, "caliper")
	log := large(b)
	book := record.NewBook(journal.Authority{Hub: office})
	for _, l := range log {
		book.Add(l)
	}
	perOp := func(b *testing.B) {
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1e6, "ms")
	}
	b.Run("fold and check", func(b *testing.B) {
		for b.Loop() {
			shop := book.Shop()
			route.Check(pinned, shop.Job(jobID), shop)
		}
		perOp(b)
	})
	b.Run("check", func(b *testing.B) {
		shop := book.Shop()
		for b.Loop() {
			route.Check(pinned, shop.Job(jobID), shop)
		}
		perOp(b)
	})
	b.Run("one entry more", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			fresh := record.NewBook(journal.Authority{Hub: office})
			for _, l := range log[:len(log)-1] {
				fresh.Add(l)
			}
			fresh.Shop()
			b.StartTimer()
			fresh.Add(log[len(log)-1])
			shop := fresh.Shop()
			route.Check(pinned, shop.Job(jobID), shop)
		}
		perOp(b)
	})
}
