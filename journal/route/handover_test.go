package route_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// What is broken, in doubt or open, and not waived, is named wherever the
// handover is told: as it was then, by all that is known of then.
func TestHandedBackWith(t *testing.T) {
	pinned := supplied(t, "caliper")
	const film = "handed back with “Film thickness and adhesion” (LF caliper) not met and not waived"
	thick := func(s *story) {
		edit(s, "film LF caliper", func(f *journal.FilmReadings) { f.Spots = spots("130 µm") })
	}
	for _, trial := range []struct {
		what string
		does func(*story)
		want string
	}{
		{"all is in order", func(*story) {}, ""},
		{"the film is too thick", thick, film},
		{"the film is too thick, and that was waived", func(s *story) {
			thick(s)
			s.add(waiver("waived", at("LF", "caliper"), "io", "film"))
		}, ""},
		{"the film was not measured", func(s *story) { s.drop("film LF caliper") }, "handed back with “Film thickness and adhesion” (LF caliper) not yet met"},
		{"one too thick and one not measured", func(s *story) {
			thick(s)
			s.drop("film RF caliper")
		}, film + "; handed back with “Film thickness and adhesion” (RF caliper) not yet met"},
		{"handed back, and waived later", func(s *story) {
			thick(s)
			s.add(released(), waiver("waived", at("LF", "caliper"), "io", "film"))
		}, film},
		{"waived, and handed back", func(s *story) {
			thick(s)
			s.add(waiver("waived", at("LF", "caliper"), "io", "film"), released())
		}, ""},
		{"handed back, and measured later", func(s *story) {
			s.drop("film LF caliper")
			s.add(released(), plain("late", bench1, at("LF", "caliper"), "mk", journal.FilmReadings{Spots: spots("80 µm")}))
		}, "handed back with “Film thickness and adhesion” (LF caliper) not yet met"},
		{"handed back, and a tool found out later", func(s *story) {
			s.add(released(), plain("found", office, "tool/tw-3", "io", journal.ToolCheck{Tool: "tw-3", Result: "out of tolerance"}))
		}, ""},
		{"handed back by a log that took what was not met", func(s *story) {
			s.drop("pedal", "road", "second")
			s.add(released())
		}, "handed back with “The pedal is firm” (vehicle), “Driven after all work” (vehicle) and “The work was checked a second time” (vehicle) not yet met"},
		{"work of another tablet that had not come by then", func(s *story) {
			s.add(released())
			s.after("LF bleed", late(at("LF", ""), journal.LineOpening{At: "banjo LF"}))
		}, "“The line is closed” (LF)"},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			job, shop := fold(s.write().log)
			got := held(pinned, job, shop).HandedBack().Say()
			if (got == "") != (trial.want == "") || !strings.Contains(got, trial.want) {
				t.Errorf("got %q, want %q", got, trial.want)
			}
		})
	}
}

// A hold whose order nobody knows is named too.
func TestHandedBackInDoubt(t *testing.T) {
	pinned := supplied(t, "caliper")
	s := complete(t)
	s.citing = true
	early := late(at("LF", ""), journal.LineOpening{At: "banjo LF"})
	early.on, early.apart = "bench-9", true
	s.after("opened", early)
	s.add(released())
	book := record.NewBook(journal.Authority{Hub: office})
	for _, l := range s.write().log {
		book.Add(l)
	}
	shop := book.Shop()
	job := route.Hold(pinned, shop.Job(jobID), facts.StockOf(shop))
	for b := range book.Lates(nil) {
		other := b.Shop()
		job.Late(route.Hold(pinned, other.Job(jobID), facts.StockOf(other)))
	}
	back := job.HandedBack()
	if !strings.Contains(back.Say(), "“No leak under pressure” (vehicle)") || !strings.Contains(back.Say(), "in doubt") || len(back.Open)+len(back.Broken) > 0 {
		t.Errorf("got %q, broken %v, open %v", back.Say(), back.Broken, back.Open)
	}
}

// That the shop had one person stands on every paper of the handover.
func TestHandedBackByAShopOfOne(t *testing.T) {
	pinned := supplied(t, "caliper")
	s := ofOne(t)
	s.add(released())
	s.steps[len(s.steps)-1].after = time.Hour
	job, shop := fold(s.write().log)
	is := held(pinned, job, shop)
	if !is.Check().ReleaseAllowed() {
		t.Fatal(is.Check().MayRelease())
	}
	says := is.HandedBack().Says()
	if !slices.ContainsFunc(says, func(text string) bool {
		return strings.Contains(text, "the shop had one person; the same person looked again after 31 min")
	}) {
		t.Errorf("got %q", says)
	}
	if says := held(pinned, job, shop).HandedBack().Say(); says != "" {
		t.Errorf("got %q", says)
	}
}

// A look on which several holds rest is one look.
func TestHandoverTellsALookOnce(t *testing.T) {
	pinned := supplied(t, "caliper")
	held := checked(pinned, ofOne(t).write().log)
	once := held.Handover()
	if len(once.OwnLook) != 1 {
		t.Fatalf("%d looks", len(once.OwnLook))
	}
	held.List = append(held.List, stands(held, "second-person", at("", "")))
	if twice := held.Handover(); len(twice.OwnLook) != 1 || len(twice.Says()) != len(once.Says()) {
		t.Errorf("the papers say %q", twice.Says())
	}
}
