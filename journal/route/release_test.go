package route_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
)

func waiver(name string, about journal.Subject, by journal.PersonID, hold journal.HoldID) step {
	return plain(name, bench1, about, by, journal.Waiver{Hold: hold, Reason: "the customer knows"})
}

// A waiver counts for a quality hold, by someone with that duty, as long as
// nothing that the hold rests on comes after it.
func TestWaivers(t *testing.T) {
	pinned := supplied(t, "caliper")
	thick := func(s *story) {
		edit(s, "film LF caliper", func(f *journal.FilmReadings) { f.Spots = spots("130 µm") })
	}
	for _, trial := range []struct {
		what  string
		hold  journal.HoldID
		about journal.Subject
		does  func(*story)
		want  route.State
		note  string
	}{
		{"by someone with the duty", "film", at("LF", "caliper"), func(s *story) {
			thick(s)
			s.add(waiver("waived", at("LF", "caliper"), "io", "film"))
		}, route.Waived, ""},
		{"for the whole corner", "film", at("LF", "caliper"), func(s *story) {
			thick(s)
			s.add(waiver("waived", at("LF", ""), "io", "film"))
		}, route.Waived, ""},
		{"for another corner", "film", at("LF", "caliper"), func(s *story) {
			thick(s)
			s.add(waiver("waived", at("RF", ""), "io", "film"))
		}, route.Broken, ""},
		{"by someone without the duty", "film", at("LF", "caliper"), func(s *story) {
			thick(s)
			s.add(waiver("waived", at("LF", "caliper"), "mk", "film"))
		}, route.Broken, "without being authorised to waive"},
		{"by someone who had the duty no more", "film", at("LF", "caliper"), func(s *story) {
			thick(s)
			s.add(plain("retired", office, "person/io", "io", journal.Retirement{Person: "io"}), waiver("waived", at("LF", "caliper"), "io", "film"))
		}, route.Broken, "without being authorised to waive"},
		{"before what it is about", "film", at("LF", "caliper"), func(s *story) {
			thick(s)
			s.after("cured", waiver("waived", at("LF", "caliper"), "io", "film"))
		}, route.Broken, "before its last entry"},
		{"of a hold that is met", "film", at("LF", "caliper"), func(s *story) {
			s.add(waiver("waived", at("LF", "caliper"), "io", "film"))
		}, route.Met, ""},
		{"of what is not there yet", "film", at("LF", "caliper"), func(s *story) {
			s.drop("film LF caliper")
			s.add(waiver("waived", at("LF", "caliper"), "io", "film"))
		}, route.Waived, ""},
		{"of a safety hold", "leak", at("", ""), func(s *story) {
			s.drop("leak")
			s.add(waiver("waived", at("", ""), "io", "leak"))
		}, route.Open, "a safety hold can only be met"},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			v := stands(checked(pinned, s.write().log), trial.hold, trial.about)
			if v.State != trial.want {
				t.Errorf("got %s, want %s: %s %v", v.State, trial.want, v.Why, v.Notes)
			}
			if got := strings.Join(v.Notes, "; "); trial.note == "" && got != "" || !strings.Contains(got, trial.note) {
				t.Errorf("notes %q, want %q in them", got, trial.note)
			}
			if trial.want == route.Waived && (v.Waiver == nil || v.Waiver.By != "io" || v.Waiver.Reason == "") {
				t.Errorf("the waiver does not say who and why: %+v", v.Waiver)
			}
		})
	}
}

func TestMayRelease(t *testing.T) {
	pinned := supplied(t, "caliper")
	s := complete(t)
	s.drop("leak", "film LF caliper")
	edit(s, "unmask RF bracket", func(u *journal.Unmasking) { u.Plugs = 6 })
	job, shop := fold(s.write().log)
	var not *route.Unreleasable
	if err := held(pinned, job, shop).Check().MayRelease(); !errors.As(err, &not) {
		t.Fatalf("got %v, want an *Unreleasable", err)
	}
	var holds []journal.HoldID
	for _, v := range not.Unmet {
		holds = append(holds, v.Hold)
	}
	if !slices.Equal(holds, []journal.HoldID{"plugs-out", "leak", "road"}) {
		t.Errorf("unmet: %v, want plugs-out, leak, and road, which was driven without a leak check", holds)
	}
	for _, word := range []string{"Every plug that went in is out again", "(RF bracket) is broken", "(vehicle) is open"} {
		if !strings.Contains(not.Error(), word) {
			t.Errorf("%q does not tell %q", not.Error(), word)
		}
	}
}

// A release is looked at again with all that came after it, and with what had
// been written before and was on its way.
func TestReleasedInIgnorance(t *testing.T) {
	pinned := supplied(t, "caliper")
	for _, trial := range []struct {
		what  string
		does  func(*story)
		hold  journal.HoldID
		later bool
	}{
		{"nothing", func(*story) {}, "", false},
		{"a tool is found out of tolerance", func(s *story) {
			s.add(plain("found", office, "tool/tw-2", "io", journal.ToolCheck{Tool: "tw-2", Result: "out of tolerance"}))
		}, "banjo-torque", true},
		{"a tool is found good", func(s *story) {
			s.add(plain("found", office, "tool/tw-2", "io", journal.ToolCheck{Tool: "tw-2", Result: "in tolerance"}))
		}, "", false},
		{"a line was opened on another tablet", func(s *story) {
			s.after("LF bleed", late(at("LF", ""), journal.LineOpening{At: "banjo LF"}))
		}, "bled", false},
		{"an entry is struck afterwards", func(s *story) {
			s.add(linked("struck", bench1, at("", ""), "mk", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Correction{Of: ids["leak"], Reason: "was another vehicle"}
			}))
		}, "leak", true},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			s.add(released())
			trial.does(s)
			job, shop := fold(s.write().log)
			list := held(pinned, job, shop).Ignorance()
			if trial.hold == "" {
				if len(list) > 0 {
					t.Errorf("found %+v", list)
				}
				return
			}
			found := false
			for _, i := range list {
				found = found || i.Now.Hold == trial.hold && i.Later == trial.later && i.Say != ""
			}
			if !found {
				t.Errorf("%s (later: %t) is not among %+v", trial.hold, trial.later, list)
			}
		})
	}
}

// The card of a job is the edition that was published first.
func TestPinned(t *testing.T) {
	text := supplied(t, "caliper").Text()
	publish := func(text string, edition int) step {
		return plain("published", office, "route/caliper", "io", journal.RouteCard{Route: "caliper", Edition: edition, Text: text})
	}
	s := complete(t)
	shelf := new(card.Shelf)
	job, shop := fold(s.write().log)
	pinned, err := route.Pinned(shelf, job, shop)
	if !errors.Is(err, card.ErrNoCard) || pinned != nil {
		t.Errorf("unpublished: got %v, %v", pinned, err)
	}
	v := route.Check(pinned, job, shop)
	if !v.Missing || v.ReleaseAllowed() || !strings.Contains(v.List[0].Why, "not here yet") {
		t.Errorf("without a card: %+v", v)
	}
	s.steps = append([]step{publish(strings.Replace(text, "edition: 1", "edition: 2", 1), 2), publish(text, 1), publish(supplied(t, "arm").Text(), 1)}, s.steps...)
	job, shop = fold(s.write().log)
	pinned, err = route.Pinned(shelf, job, shop)
	if err != nil || pinned.Name != "caliper" || pinned.Edition != 1 {
		t.Fatalf("got %+v, %v", pinned, err)
	}
	if again, _ := route.Pinned(shelf, job, shop); again != pinned {
		t.Error("the card was read twice")
	}
	if !route.Check(pinned, job, shop).ReleaseAllowed() {
		t.Error("the pinned card does not allow the release")
	}
	edit(s, "opened", func(j *journal.Job) { j.Route, j.Edition = "", 0 })
	job, shop = fold(s.write().log)
	if pinned, err := route.Pinned(shelf, job, shop); err != nil || pinned.Name != card.Usual {
		t.Errorf("no card named: got %+v, %v", pinned, err)
	}
}

func TestOpeningNotHere(t *testing.T) {
	pinned := supplied(t, "caliper")
	w := complete(t).write()
	job, shop := fold(w.without(t, w.ids["opened"]))
	if v := route.Check(pinned, job, shop); !v.Missing || v.ReleaseAllowed() {
		t.Errorf("got %+v", v)
	}
	if todo := held(pinned, job, shop).Next(); todo != nil {
		t.Errorf("something to do: %v", todo)
	}
}
