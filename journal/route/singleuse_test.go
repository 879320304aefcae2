package route_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/trade/unit"
)

// Bolts that the make-up says are used once only must be new, at every joint
// of the card that a part has. What nobody stated asks for nothing.
func TestSingleUseBolts(t *testing.T) {
	joints := []struct {
		hold                            journal.HoldID
		part, joint, described, tighten string
	}{
		{"bracket-torque", "bracket", "bracket bolt", "LF described bracket", "LF bracket bolts"},
		{"caliper-torque", "caliper", "guide pin bolt", "LF described caliper", "LF pin bolts"},
		{"banjo-torque", "caliper", "banjo bolt", "LF described caliper", "LF banjo bolt"},
	}
	for _, j := range joints {
		say := func(s *story, described string, single bool) {
			edit(s, described, func(m *journal.MakeUp) {
				found := false
				for i, b := range m.Joints {
					if strings.HasPrefix(b.Joint, j.joint) {
						m.Joints[i].SingleUse, found = single, true
					}
				}
				if !found {
					t.Fatalf("the preset has no %s: %v", j.joint, m.Joints)
				}
			})
		}
		once := func(s *story) { say(s, j.described, true) }
		often := func(s *story) { say(s, j.described, false) } // whatever the preset says
		fresh := func(s *story) { edit(s, j.tighten, func(d *journal.Torque) { d.NewBolts = true }) }
		used := func(s *story) {
			edit(s, j.tighten, func(d *journal.Torque) { d.NewBolts = false })
		}
		more := func(name string, change func(*journal.Torque)) func(*story) {
			return func(s *story) {
				st := s.steps[s.index(j.tighten)]
				st.name = name
				s.after(j.tighten, st)
				edit(s, name, change)
			}
		}
		for _, trial := range []struct {
			what string
			does []func(*story)
			met  bool
		}{
			{"stated to be used again", []func(*story){often, used}, true},
			{"stated, and new", []func(*story){once, fresh}, true},
			{"stated, and used again", []func(*story){once, used}, false},
			{"used again, and then new ones", []func(*story){once, used, more("new", func(d *journal.Torque) { d.NewBolts = true })}, true},
			{"new ones, and then used ones", []func(*story){once, fresh, more("used", func(d *journal.Torque) { d.NewBolts = false })}, false},
			{"stated at the other corner only", []func(*story){often, used, func(s *story) { say(s, strings.Replace(j.described, "LF", "RF", 1), true) }}, true},
			{"nobody stated what the part has", []func(*story){once, used, func(s *story) { s.drop(j.described) }}, true},
			{"stated after the work", []func(*story){once, used, func(s *story) { s.move(j.described, "road") }}, false},
			{"new, and outside its figure", []func(*story){once, fresh, func(s *story) {
				edit(s, j.tighten, func(d *journal.Torque) { d.Torque = q[unit.Torque]("45 N.m") })
			}}, false},
		} {
			what := string(j.hold) + ": " + trial.what
			judged(t, []work{{what, j.hold, at("LF", ""), func(s *story) {
				for _, does := range trial.does {
					does(s)
				}
			}, trial.met, map[bool]string{true: "nobody has written that they are new"}[!trial.met && !strings.Contains(trial.what, "outside")]}})
		}
	}
}

// The line of the entry says the same as the hold.
func TestSingleUseBesideTheEntry(t *testing.T) {
	for _, fresh := range []bool{false, true} {
		s := complete(t)
		edit(s, "LF described caliper", func(m *journal.MakeUp) {
			for i := range m.Joints {
				m.Joints[i].SingleUse = true
			}
		})
		edit(s, "LF banjo bolt", func(d *journal.Torque) { d.NewBolts = fresh })
		w := s.write()
		_, shop := fold(w.log)
		var said []string
		for _, is := range facts.StockOf(shop).Entry(shop.Line(w.ids["LF banjo bolt"])[0]).Statements {
			said = append(said, is.Say())
		}
		if told := strings.Join(said, "; "); strings.Contains(told, "nobody has written that they are new") == fresh {
			t.Errorf("new: %t, and it says %q", fresh, told)
		}
	}
}
