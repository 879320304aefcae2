package route_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// ofOne is the complete job in a shop of one person, who looked at the work
// again after 31 minutes.
func ofOne(tb testing.TB) *story {
	s := complete(tb)
	s.drop("person jr", "person mk", "second")
	for i := range s.steps {
		s.steps[i].by = "io"
	}
	s.add(lookAgain("again", "road", 31*time.Minute))
	return s
}

// again looks at an entry again, so long after the last one.
func lookAgain(name, of string, after time.Duration) step {
	st := linked(name, bench1, at("", ""), "io", func(ids map[string]journal.EntryID) journal.Payload {
		return &journal.SecondCheck{Of: ids[of], Finds: journal.FoundRight, Tried: []string{"bracket bolts", "banjo bolts"}, Evidence: seen(name)}
	})
	st.after = after
	return st
}

// joins puts a person on the register, leaves takes one off it.
func joins(name string, id journal.PersonID, duties ...journal.Duty) step {
	return plain(name, office, journal.Of("person", string(id)), "io", journal.Person{Person: id, Initials: strings.ToUpper(string(id)), Duties: duties})
}

func leaves(name string, id journal.PersonID) step {
	return plain(name, office, journal.Of("person", string(id)), "io", journal.Retirement{Person: id})
}

// jumps sets a device's clock before a step.
func jumps(s *story, name string, by time.Duration) { s.steps[s.index(name)].jump = by }

// In a shop of one the same person looks again: later, by hand, with a new
// photograph, and as long as the shop is of one.
func TestShopOfOne(t *testing.T) {
	pinned := supplied(t, "caliper")
	for _, trial := range []struct {
		what string
		does func(*story)
		met  bool
		says string
	}{
		{"31 minutes later", func(*story) {}, true, "the shop had one person; the same person looked again after 31 min: IO checked the road test of 2 March 2026"},
		{"nobody looked", func(s *story) { s.drop("again") }, false, "has not looked again yet"},
		{"29 minutes later", func(s *story) { slowly(s, "again", 29*time.Minute) }, false, "looked again after 29 min"},
		{"30 minutes later", func(s *story) { slowly(s, "again", 30*time.Minute) }, true, "after 30 min"},
		{"too early, and again in time", func(s *story) {
			slowly(s, "again", 10*time.Minute)
			s.add(lookAgain("once more", "road", 25*time.Minute))
		}, true, "after 35 min"},
		{"in time, and then once more without a photograph", func(s *story) {
			s.add(lookAgain("once more", "road", time.Minute))
			edit(s, "once more", func(d *journal.SecondCheck) { d.Photos = nil })
		}, true, "after 31 min"},
		{"without a photograph", func(s *story) {
			edit(s, "again", func(d *journal.SecondCheck) { d.Photos = nil })
		}, false, "without a photograph that no other entry has"},
		{"with a photograph of another entry", func(s *story) {
			edit(s, "again", func(d *journal.SecondCheck) { d.Evidence = seen("as it came in") })
		}, false, "without a photograph that no other entry has"},
		{"with a photograph of a struck entry", func(s *story) {
			s.after("road", plain("slip", bench1, at("", ""), "io", journal.Snapshot{Evidence: seen("again")}))
			s.after("slip", strike("struck", bench1, at("", ""), "slip"))
		}, false, "without a photograph that no other entry has"},
		{"with the photograph of the look that was too early", func(s *story) {
			slowly(s, "again", 10*time.Minute)
			s.add(lookAgain("once more", "road", 25*time.Minute))
			edit(s, "once more", func(d *journal.SecondCheck) { d.Evidence = seen("again") })
		}, false, "without a photograph that no other entry has"},
		{"with an old and a new photograph", func(s *story) {
			edit(s, "again", func(d *journal.SecondCheck) {
				d.Photos = append([]journal.Photo{journaltest.Picture("as it came in")}, d.Photos...)
			})
		}, true, ""},
		{"with a photograph that a later entry has too", func(s *story) {
			s.add(plain("copy", bench1, at("", ""), "io", journal.Snapshot{Evidence: seen("again")}))
		}, true, ""},
		{"and tried nothing by hand", func(s *story) {
			edit(s, "again", func(d *journal.SecondCheck) { d.Tried = nil })
		}, false, "did not write what was tried by hand"},
		{"and found it not in order", func(s *story) {
			edit(s, "again", func(d *journal.SecondCheck) { d.Finds = journal.FoundWrong })
		}, false, "IO found it wrong"},
		{"found it not in order after it was in order", func(s *story) {
			s.add(lookAgain("once more", "road", time.Hour))
			edit(s, "once more", func(d *journal.SecondCheck) { d.Finds = journal.FoundWrong })
		}, false, "IO found it wrong"},
		{"at an older entry, soon after the last work", func(s *story) {
			s.drop("again")
			s.add(lookAgain("again", "LF banjo bolt", 5*time.Minute))
		}, false, "looked again after"},
		{"at an older entry, long after all work", func(s *story) {
			s.drop("again")
			s.add(lookAgain("again", "LF banjo bolt", 31*time.Minute))
		}, true, "IO checked the tightening at LF"},
		{"at what is not work on the brakes", func(s *story) {
			s.drop("again")
			s.add(lookAgain("again", "received", 31*time.Minute))
		}, false, "which is not work on this vehicle"},
		{"work came after it", func(s *story) {
			s.add(plain("loose", bench1, at("LF", ""), "io", journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Spec: "banjo"}))
		}, false, "work came after the second check"},
		{"the bench's clock was an hour ahead all along", func(s *story) { jumps(s, "person io", time.Hour) }, true, "after 31 min"},
		{"the clock was set ahead for the look", func(s *story) {
			slowly(s, "again", 5*time.Minute)
			jumps(s, "again", 40*time.Minute)
		}, false, "after 5 min: IO checked"},
		{"the clock was set ahead and the look says so", func(s *story) {
			slowly(s, "again", 5*time.Minute)
			jumps(s, "again", 40*time.Minute)
		}, false, "by the times of day it was 45 min, but these can be set"},
		{"the clock was set back for the look", func(s *story) {
			slowly(s, "again", 45*time.Minute)
			jumps(s, "again", -40*time.Minute)
		}, false, "after 5 min"},
		{"started anew in between, and running long enough since", func(s *story) {
			s.add(lookAgain("once more", "road", 31*time.Minute))
			slowly(s, "again", 5*time.Minute)
			s.steps[s.index("again")].boot = "b2"
		}, true, "after 31 min"},
		{"started anew just before the look", func(s *story) {
			slowly(s, "again", 90*time.Minute)
			s.steps[s.index("again")].boot = "b2"
		}, false, "after 0 min"},
		{"started anew, with the clock set ahead", func(s *story) {
			slowly(s, "again", 5*time.Minute)
			s.steps[s.index("again")].boot = "b2"
			jumps(s, "again", time.Hour)
		}, false, "after 0 min"},
		{"on another device, where nobody knows how long ago", func(s *story) {
			s.steps[s.index("again")].on = bench2
		}, false, "after 0 min"},
		{"on another device, that had seen the work long enough", func(s *story) {
			s.after("road", plain("walk", bench2, at("", ""), "io", journal.Remark{Evidence: journal.Evidence{Note: "laptop to hand"}}))
			s.steps[s.index("again")].on = bench2
		}, true, "after 31 min"},
		{"looked too early on another device, and again there", func(s *story) {
			s.steps[s.index("again")].on = bench2
			s.add(lookAgain("once more", "road", 31*time.Minute))
			s.steps[s.index("once more")].on = bench2
		}, true, "after 31 min"},
		{"by somebody who is not on the register", func(s *story) { s.steps[s.index("again")].by = "zz" }, false, "zz is not authorised"},

		{"a colleague came before the work, who is not authorised", func(s *story) {
			s.after("person io", joins("mk joins", "mk"))
		}, false, ""}, // not asked, as ever in a shop of several
		{"a colleague came before the look", func(s *story) {
			s.after("road", joins("mk joins", "mk", journal.SecondCheckDuty))
		}, false, "MK was on the register too"},
		{"a colleague came before the look, who is not authorised", func(s *story) {
			s.after("road", joins("mk joins", "mk"))
		}, false, "MK was on the register too"},
		{"a colleague came after the look", func(s *story) {
			s.add(joins("mk joins", "mk", journal.SecondCheckDuty))
		}, true, "the shop had one person"},
		{"a colleague came and went between work and look", func(s *story) {
			s.after("road", joins("mk joins", "mk"))
			s.after("mk joins", leaves("mk leaves", "mk"))
		}, false, "MK was on the register too"},
		{"a colleague came and went before the work", func(s *story) {
			s.after("person io", joins("mk joins", "mk", journal.SecondCheckDuty))
			s.after("mk joins", leaves("mk leaves", "mk"))
		}, true, "the shop had one person"},
		{"a colleague went for the look and came again", func(s *story) {
			s.after("person io", joins("mk joins", "mk"))
			s.after("road", leaves("mk leaves", "mk"))
			s.add(joins("mk again", "mk"))
		}, false, ""},
		{"a colleague went, and no work was done since", func(s *story) {
			s.after("person io", joins("mk joins", "mk"))
			s.after("road", leaves("mk leaves", "mk"))
		}, false, "MK was on the register too"},
		{"a colleague went, and the last joint was tightened again", func(s *story) {
			s.after("person io", joins("mk joins", "mk"))
			s.after("LF bleed", leaves("mk leaves", "mk"))
			s.after("look 3", plain("tight", bench1, at("LF", ""), "io", journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Spec: "banjo"}))
		}, true, "the shop had one person"},
		{"a colleague's coming was struck out after the look", func(s *story) {
			s.after("road", joins("mk joins", "mk"))
			s.add(strike("struck", office, "person/mk", "mk joins"))
		}, false, "mk was on the register too"},
		{"a colleague's coming was struck out before the work", func(s *story) {
			s.after("person io", joins("mk joins", "mk"))
			s.after("mk joins", strike("struck", office, "person/mk", "mk joins"))
		}, true, "the shop had one person"},
		{"a tablet puts a colleague on the register, which it may not", func(s *story) {
			st := joins("mk joins", "mk")
			st.on = bench2
			s.after("road", st)
		}, true, "the shop had one person"},
		{"a colleague came and looked", func(s *story) {
			s.after("road", joins("mk joins", "mk", journal.SecondCheckDuty))
			s.steps[s.index("again")].by = "mk"
		}, true, "MK came on the register after that work"},
		{"a colleague came only for the look", func(s *story) {
			s.after("road", joins("mk joins", "mk", journal.SecondCheckDuty))
			s.steps[s.index("again")].by = "mk"
			s.add(leaves("mk leaves", "mk"))
		}, true, "MK came on the register after that work and was off it again before the vehicle was handed back"},
		{"a colleague looked and left long after handover", func(s *story) {
			s.after("person io", joins("mk joins", "mk", journal.SecondCheckDuty))
			s.steps[s.index("again")].by = "mk"
			s.add(released(), leaves("mk leaves", "mk"))
		}, true, "MK checked the road test"},
		{"a colleague came long after handover", func(s *story) {
			s.add(released(), joins("mk joins", "mk", journal.SecondCheckDuty))
		}, true, "the shop had one person"},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := ofOne(t)
			trial.does(s)
			v := stands(checked(pinned, s.write().log), "second-person", at("", ""))
			if (v.State == route.Met) != trial.met {
				t.Errorf("%s: %s", v.State, v.Why)
			}
			if told := strings.Join(append(v.Figures, v.Why), "; "); !strings.Contains(told, trial.says) {
				t.Errorf("%q is not told in %q", trial.says, told)
			}
		})
	}
}

// strike strikes an entry out.
func strike(name string, on journal.DeviceID, about journal.Subject, of string) step {
	return linked(name, on, about, "io", func(ids map[string]journal.EntryID) journal.Payload {
		return &journal.Correction{Of: ids[of], Reason: "a slip"}
	})
}

// Two people who share the work look at each other's, as ever: whoever comes
// or goes after handover changes nothing.
func TestShopOfSeveral(t *testing.T) {
	pinned := supplied(t, "caliper")
	for _, trial := range []struct {
		what string
		does func(*story)
		want route.State
		says string
	}{
		{"another person", func(*story) {}, route.Met, "JR checked the road test of 2 March 2026"},
		{"whose work it was", func(*story) {}, route.Met, "by IO: in order"},
		{"one's own work, half an hour later", func(s *story) {
			s.steps[s.index("second")].by = "io"
			slowly(s, "second", time.Hour)
			edit(s, "second", func(d *journal.SecondCheck) { d.Tried, d.Evidence = []string{"bolts"}, seen("again") })
		}, route.Open, "IO looked at work of their own"},
		{"nobody is authorised", func(s *story) { s.drop("person jr", "second") }, "", ""},
		{"nobody was authorised, and somebody is after handover", func(s *story) {
			s.drop("person jr", "second")
			s.add(released(), joins("jr joins", "jr", journal.SecondCheckDuty))
		}, "", ""},
		{"nobody is authorised, and a colleague leaves after handover", func(s *story) {
			s.drop("person jr", "second")
			s.add(released(), leaves("mk leaves", "mk"))
		}, "", ""},
		{"who looked leaves after handover", func(s *story) {
			s.add(released(), leaves("jr leaves", "jr"))
		}, route.Met, "JR checked"},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			v := stands(checked(pinned, s.write().log), "second-person", at("", ""))
			if v.State != trial.want {
				t.Errorf("%q: %s", v.State, v.Why)
			}
			if told := strings.Join(append(v.Figures, v.Why), "; "); !strings.Contains(told, trial.says) {
				t.Errorf("%q is not told in %q", trial.says, told)
			}
		})
	}
}

// Whoever had the duty while others worked is asked to look, also if it is taken
// from everybody before the vehicle is handed back.
func TestDutyTakenAway(t *testing.T) {
	none := joins("no duty", "jr", journal.BenchDuty)
	for _, trial := range []struct {
		what string
		does func(*story)
		want route.State
	}{
		{"after the work", func(s *story) { s.drop("second"); s.after("road", none) }, route.Open},
		{"after the work, and handed back", func(s *story) { s.drop("second"); s.after("road", none); s.add(released()) }, route.Open},
		{"in the middle of it", func(s *story) { s.drop("second"); s.after("LF bleed", none) }, route.Open},
		{"with who had it", func(s *story) { s.drop("second"); s.after("road", leaves("jr leaves", "jr")) }, route.Open},
		{"before any work", func(s *story) { s.drop("second"); s.after("person mk", none) }, ""},
		{"after the look", func(s *story) { s.after("second", none) }, route.Met},
		{"of all but the one who did the work", func(s *story) {
			s.drop("second")
			for i := range s.steps {
				s.steps[i].by = map[bool]journal.PersonID{true: "io", false: "jr"}[s.steps[i].on == office]
			}
			s.after("road", none)
		}, ""},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			if v := stands(checked(supplied(t, "caliper"), s.write().log), "second-person", at("", "")); v.State != trial.want {
				t.Errorf("%q: %s", v.State, v.Why)
			}
		})
	}
}

// The hub puts a colleague on the register. Where the bench had not heard of it
// when the look was written, nobody knows which was first.
func TestShopOfOneInDoubt(t *testing.T) {
	pinned := supplied(t, "caliper")
	for _, trial := range []struct {
		what   string
		behind string
		apart  string // of which nobody else had heard
		want   route.State
	}{
		{"before the look, and the bench had heard of it", "road", "", route.Broken},
		{"before the look by its clock, and the bench had not heard of it", "road", "mk joins", route.InDoubt},
		{"after the look by its clock, and the hub had not heard of that", "again", "again", route.InDoubt},
		{"after the look, of which the hub had heard", "again", "", route.Met},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := ofOne(t)
			s.citing = true
			s.after(trial.behind, joins("mk joins", "mk", journal.SecondCheckDuty))
			if trial.apart != "" {
				s.steps[s.index(trial.apart)].apart = true
			}
			w := s.write()
			_, sure := doubted(pinned, w.log)
			v := stands(sure, "second-person", at("", ""))
			if v.State != trial.want {
				t.Errorf("stands %s: %s", v.State, v.Why)
			}
			if trial.want == route.InDoubt && (!slices.Contains(v.Doubtful, w.ids["mk joins"]) || !slices.Contains(v.Doubtful, w.ids["again"])) {
				t.Errorf("it does not name the colleague's coming and the look: %v, %s", v.Doubtful, v.Why)
			}
		})
	}
}

// A duty that was added by a correction after a second look was not there when
// it was needed.
func TestDutyByCorrection(t *testing.T) {
	for _, late := range []bool{false, true} {
		s := complete(t)
		s.steps[s.index("second")].by = "pt"
		s.after("person mk", joins("person pt", "pt", journal.BenchDuty))
		behind := map[bool]string{false: "person pt", true: "second"}[late]
		s.after(behind, linked("more duties", office, "person/pt", "io", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Correction{Of: ids["person pt"], Reason: "forgotten", Data: []byte(`{"person":"pt","initials":"PT","duties":["bench","second check"]}`)}
		}))
		v := stands(checked(supplied(t, "caliper"), s.write().log), "second-person", at("", ""))
		if (v.State == route.Met) == late {
			t.Errorf("corrected after the look: %t, and it is %s: %s", late, v.State, v.Why)
		}
	}
}
