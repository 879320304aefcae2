package route_test

import (
	"maps"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

func todo(tb testing.TB, s *story) []route.Todo {
	tb.Helper()
	job, shop := fold(s.write().log)
	return held(supplied(tb, "caliper"), job, shop).Next()
}

// has reports whether a task is among those to be done.
func has(list []route.Todo, want route.Todo) bool {
	for _, t := range list {
		if t.Subject == want.Subject && t.Task == want.Task && t.Kind == want.Kind && t.Shows == want.Shows && t.Urgent == want.Urgent && t.Say != "" {
			return true
		}
	}
	return false
}

func TestNext(t *testing.T) {
	caliper, bracket := at("LF", "caliper"), at("LF", "bracket")
	masks := unseen("mask LF caliper", "mask LF bracket")
	photo := route.Todo{Subject: bracket, Task: route.Photograph, Kind: journal.BoreMasked, Shows: "masked bores and seats"}
	urgent, late := photo, photo
	urgent.Urgent, late.Task = true, route.TooLate
	for _, trial := range []struct {
		what  string
		does  func(*story)
		first route.Task // of the list
		has   []route.Todo
		not   []route.Todo
	}{
		{"the vehicle has just come in", func(s *story) { s.until("opened") }, route.Photograph,
			[]route.Todo{{Subject: at("", ""), Task: route.WriteDown, Kind: journal.VehicleReceived}},
			[]route.Todo{{Subject: at("", ""), Task: route.WriteDown, Kind: journal.VehicleRaised}, {Subject: at("LF", ""), Task: route.WriteDown, Kind: journal.HardwareBagged}}},
		{"masked and not photographed, soak to come", func(s *story) { masks(s); s.until("mask RF bracket") }, route.Photograph,
			[]route.Todo{photo, {Subject: caliper, Task: route.WriteDown, Kind: journal.PartSoaked}}, []route.Todo{urgent, late}},
		{"masked and not photographed, powder may go on", func(s *story) { masks(s); s.until("soak") }, route.Photograph,
			[]route.Todo{urgent, {Subject: caliper, Task: route.WriteDown, Kind: journal.PowderApplied}}, []route.Todo{late}},
		{"photographed afterwards, by its role", func(s *story) {
			masks(s)
			s.until("soak")
			s.add(plain("photo", bench2, caliper, "mk", journal.Snapshot{Evidence: seen("Masked bores and seats")}))
		}, route.Photograph, nil, []route.Todo{urgent, photo, late}},
		{"powder went on over it", func(s *story) { masks(s); s.until("powder") }, "", []route.Todo{late}, []route.Todo{urgent, photo}},
		{"a bracket is not stripped, so it stays in sight until the powder", func(s *story) {
			s.until("LF strip")
		}, "", nil, []route.Todo{{Subject: at("LF", "bracket"), Task: route.Photograph, Kind: journal.PartRemoved, Shows: "as it came off", Urgent: true}}},
		{"a plug is missing", func(s *story) {
			edit(s, "unmask LF caliper", func(u *journal.Unmasking) { u.Plugs = 6 })
		}, "", []route.Todo{{Subject: caliper, Task: route.PutRight, Kind: journal.BoreUnmasked, Urgent: true}}, nil},
		{"to be stripped and recoated", func(s *story) {
			s.until("film RF bracket")
			s.add(
				plain("sag", bench1, caliper, "mk", journal.Defect{Looks: "run", Face: "edge", Seen: "after bake"}),
				linked("redo", bench1, caliper, "mk", func(ids map[string]journal.EntryID) journal.Payload {
					return &journal.Rework{Of: ids["sag"], Decision: "strip and recoat", Reason: "runs"}
				}),
			)
		}, "", []route.Todo{{Subject: caliper, Task: route.WriteDown, Kind: journal.PartDegreased}},
			[]route.Todo{{Subject: at("LF", "bracket"), Task: route.WriteDown, Kind: journal.PartDegreased}}},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			list := todo(t, s)
			if trial.first != "" && (len(list) == 0 || list[0].Task != trial.first) {
				t.Errorf("first is not %s: %+v", trial.first, list)
			}
			for _, want := range trial.has {
				if !has(list, want) {
					t.Errorf("%+v is not in %+v", want, list)
				}
			}
			for _, want := range trial.not {
				if has(list, want) {
					t.Errorf("%+v is in the list", want)
				}
			}
		})
	}
	for _, one := range todo(t, complete(t)) {
		if one.Task == route.WriteDown || one.Task == route.PutRight {
			t.Errorf("complete, and still to be done: %+v", one)
		}
	}
}

func TestFollowUps(t *testing.T) {
	pinned := supplied(t, "caliper")
	handed := func(tb testing.TB, more ...step) *story {
		s := complete(tb)
		s.add(released())
		s.add(more...)
		return s
	}
	contact := func(about string, reached bool, after time.Duration) step {
		st := plain("contact", office, at("", ""), "io", journal.Contact{How: "telephone", About: about, Reached: reached, Answer: words.If(reached, "all is well")})
		st.after = after
		return st
	}
	keeps := func(name string, reached bool) step {
		return plain("contact", office, at("", ""), "io", journal.Contact{How: "telephone", About: "any drop of fluid?", Reached: reached, Answer: words.If(reached, "dry"), Keeps: name})
	}
	const day = 24 * time.Hour
	for _, trial := range []struct {
		what  string
		more  []step
		after time.Duration // since the morning of the job
		want  map[string]route.Progress
	}{
		{"just handed back", nil, 10 * time.Hour, map[string]route.Progress{"weep": route.Pending, "retorque": route.Pending, "film": route.Pending}},
		{"two days later", nil, 2 * day, map[string]route.Progress{"weep": route.Due, "retorque": route.Pending, "film": route.Pending}},
		{"two months later", nil, 60 * day, map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Due}},
		{"nuts tightened", []step{plain("retorque", bench1, at("", ""), "mk", journal.Retorque{Torque: q[unit.Torque]("120 N.m"), Tool: "tw-3"})}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Kept, "film": route.Due}},
		{"asked about fluid the same evening", []step{contact("any drop of fluid?", true, time.Hour)}, 60 * day,
			map[string]route.Progress{"weep": route.Kept, "retorque": route.Due, "film": route.Due}},
		{"asked about fluid, and said so by the follow-up's name", []step{keeps("weep", true)}, 60 * day,
			map[string]route.Progress{"weep": route.Kept, "retorque": route.Due, "film": route.Due}},
		{"the name of one follow-up, in the words of another", []step{keeps("film", true)}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Kept}},
		{"the name of one that is not there", []step{keeps("brakes", true)}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Due}},
		{"by name, and nobody answered", []step{keeps("weep", false)}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Due}},
		{"nobody answered", []step{contact("any drop of fluid?", false, time.Hour)}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Due}},
		{"asked how all is when the film was due", []step{contact("how is it going", true, 31*day)}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Due}}, // that is about neither
		{"asked, and no answer noted", []step{plain("contact", office, at("", ""), "io", journal.Contact{How: "telephone", About: "fluid", Reached: true})}, 60 * day,
			map[string]route.Progress{"weep": route.Due, "retorque": route.Due, "film": route.Due}},
	} {
		t.Run(trial.what, func(t *testing.T) {
			job, _ := fold(handed(t, trial.more...).write().log)
			list := route.FollowUps(pinned, job, journaltest.Morning().Add(trial.after))
			if len(list) != len(trial.want) {
				t.Fatalf("got %d promises: %+v", len(list), list)
			}
			for i, f := range list {
				if f.State != trial.want[f.Name] {
					t.Errorf("%s: %s, want %s", f.Say, f.State, trial.want[f.Name])
				}
				if i > 0 && f.Due.Before(list[i-1].Due) {
					t.Error("they do not come in the order in which they are due")
				}
				if f.Name == "retorque" && (f.Odometer != "84266 to 84316 km" || !strings.HasPrefix(f.Told, "wheel nuts")) {
					t.Errorf("retorque at %q, told %q", f.Odometer, f.Told)
				}
				if trial.what == "nobody answered" && f.Name == "weep" && len(f.Tries) != 1 {
					t.Errorf("the try is not told: %+v", f)
				}
			}
		})
	}
	job, _ := fold(complete(t).write().log)
	if list := route.FollowUps(pinned, job, journaltest.Morning()); list != nil {
		t.Errorf("promises of a job that is still here: %+v", list)
	}
}

// What everybody is told is told of each follow-up that it is about.
func TestAdviceOfFollowUps(t *testing.T) {
	s := complete(t)
	s.add(plain("released", office, at("", ""), "io", journal.Release{Advised: []journal.Advice{journal.FilmCare, journal.FirstDays, journal.NutsAgain, journal.FirstDrop, journal.PedalChange}, Sheet: "care sheet 3"}))
	job, _ := fold(s.write().log)
	told := make(map[string]string)
	for _, f := range route.FollowUps(supplied(t, "caliper"), job, journaltest.Morning()) {
		told[f.Name] = f.Told
	}
	if want := map[string]string{"weep": string(journal.FirstDrop), "retorque": string(journal.NutsAgain), "film": string(journal.FilmCare)}; !maps.Equal(told, want) {
		t.Errorf("told %q", told)
	}
}

// A complaint is due from the moment it comes in, on any job, until somebody
// decides it; a decision about another one, or a struck complaint, is none.
func TestClaims(t *testing.T) {
	pinned := supplied(t, "caliper")
	s := complete(t)
	s.add(released(),
		plain("claim", office, at("", ""), "io", journal.Claim{Says: "a bubble in the paint"}),
		plain("other", office, at("", ""), "io", journal.Claim{Says: "it squeals"}),
		linked("decided", office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.ClaimDecision{Of: ids["claim"], Decision: "shared", Reason: "the film was thin"}
		}))
	owed := func() (open []string) {
		job, _ := fold(s.write().log)
		for _, f := range route.FollowUps(pinned, job, journaltest.Morning()) {
			if !f.Claim.IsZero() && f.State == route.Due {
				open = append(open, f.Say)
			}
		}
		if n := len(route.OpenClaims(job)); n != len(open) {
			t.Errorf("%d complaints are open and %d are due", n, len(open))
		}
		return open
	}
	if open := owed(); len(open) != 1 || !strings.HasPrefix(open[0], "Decide the complaint of ") || !strings.HasSuffix(open[0], "“it squeals”") {
		t.Errorf("due: %q", open)
	}
	s.add(linked("struck", office, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
		return &journal.Correction{Of: ids["other"], Reason: "was another vehicle"}
	}))
	if open := owed(); open != nil {
		t.Errorf("still due: %q", open)
	}
}
