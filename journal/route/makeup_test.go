package route_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// bench is one part with a preset, taken through the shop as far as that makes
// a difference to what it has.
func bench(tb testing.TB, p card.Preset) *story {
	is, part := p.MakeUp(), at("LF", journal.PartID(p.Parts[0]))
	rack := journal.Rack{Parts: []journal.Subject{part}}
	s := &story{tb: tb}
	s.register()
	s.add(
		plain("opened", office, at("", ""), "io", journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1}),
		plain("removed", bench1, part, "mk", journal.Removal{}),
		plain("described", bench1, part, "mk", *is),
		plain("strip", bench1, part, "mk", journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in", Out: is.Rubber}),
		plain("mask", bench1, part, "mk", journal.Masking{Features: is.Covered(), Plugs: 4}),
		plain("powder", bench1, "run/coat-1", "mk", journal.Coating{Rack: rack, Lot: "so-118", Coat: 1}),
		plain("bake", bench1, "run/bake-1", "mk", journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("210 °C")}),
		plain("unmask", bench1, part, "mk", journal.Unmasking{Plugs: 4, Features: is.Plugged()}),
		plain("seats", bench1, part, "mk", journal.SeatProof{Shown: is.Bare(), State: "bare"}),
		plain("rebuilt", bench1, part, "mk", journal.Rebuild{NewParts: is.Rubber}),
		plain("refitted", bench1, part, "mk", journal.Refitting{Bleeder: "up"}),
	)
	for _, j := range is.Joints {
		s.add(plain("tight "+j.Joint, bench1, part, "mk", journal.Torque{Joint: j.Joint, Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Count: j.Bolts}))
	}
	s.add(
		plain("washers", bench1, at("LF", ""), "mk", journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper"}),
		plain("road", bench1, at("", ""), "io", journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "straight"}),
	)
	return s
}

// counting is an entry that names what a part has: where its list is, and the
// hold that asks for it.
type counting struct {
	step string
	hold journal.HoldID
	has  func(*journal.MakeUp) []journal.Item
	list func(journal.Payload) *[]journal.Item
	late string // the step behind which it comes too late
}

func countings() []counting {
	return []counting{
		{"strip", "rubber-out", func(m *journal.MakeUp) []journal.Item { return m.Rubber },
			func(p journal.Payload) *[]journal.Item { return &p.(*journal.Stripping).Out }, "bake"},
		{"mask", "masked", (*journal.MakeUp).Covered,
			func(p journal.Payload) *[]journal.Item { return &p.(*journal.Masking).Features }, "powder"},
		{"unmask", "plugs-out", (*journal.MakeUp).Plugged,
			func(p journal.Payload) *[]journal.Item { return &p.(*journal.Unmasking).Features }, "refitted"},
		{"seats", "seats-bare", (*journal.MakeUp).Bare,
			func(p journal.Payload) *[]journal.Item { return &p.(*journal.SeatProof).Shown }, "refitted"},
		{"rebuilt", "rebuilt", func(m *journal.MakeUp) []journal.Item { return m.Rubber },
			func(p journal.Payload) *[]journal.Item { return &p.(*journal.Rebuild).NewParts }, "refitted"},
	}
}

// relist changes the list of a step; a list of nothing becomes one of a
// hanging hole, which stands for nothing.
func relist(s *story, c counting, change func([]journal.Item) []journal.Item) {
	st := &s.steps[s.index(c.step)]
	old := st.data
	st.data = func(ids map[string]journal.EntryID) journal.Payload {
		p := old(ids)
		list := c.list(p)
		if *list = change(slices.Clone(*list)); len(*list) == 0 {
			*list = []journal.Item{{What: "hanging hole", Count: 1}}
		}
		return p
	}
}

// elsewhere moves the list of a step to the other corner: what is left here
// names a hanging hole.
func elsewhere(s *story, c counting) {
	other := s.steps[s.index(c.step)]
	other.name += " elsewhere"
	other.about = journal.About(jobID, "RF", other.about.Part())
	relist(s, c, func([]journal.Item) []journal.Item { return nil })
	s.after(c.step, other)
}

// For every preset and everything that it has: named and counted, the hold is
// met; without it, with another thing, one less, on another corner or after
// the fact it is not, and the verdict names it.
func TestEverythingThatAPartHas(t *testing.T) {
	for _, name := range card.SuppliedNames() {
		pinned := supplied(t, name)
		for _, p := range pinned.Presets {
			t.Run(p.Name, func(t *testing.T) {
				part := at("LF", journal.PartID(p.Parts[0]))
				state := func(does func(*story), hold journal.HoldID) route.Verdict {
					s := bench(t, p)
					does(s)
					return stands(checked(pinned, s.write().log), hold, part)
				}
				for _, c := range countings() {
					has := c.has(p.MakeUp())
					if v := state(func(*story) {}, c.hold); len(has) > 0 && v.State != route.Met {
						t.Errorf("%s done as it should be: %s: %s", c.step, v.State, v.Why)
					} else if len(has) == 0 && c.step != "unmask" && v.State != "" && v.State != route.Met {
						t.Errorf("%s is asked for what it has not: %s", c.step, v.Why)
					}
					if len(has) == 0 {
						continue
					}
					for i, item := range has {
						for how, wrong := range map[string]func([]journal.Item) []journal.Item{
							"left out":    func(l []journal.Item) []journal.Item { return slices.Delete(l, i, i+1) },
							"another one": func(l []journal.Item) []journal.Item { l[i].What = "hanging hole"; return l },
							"one less":    func(l []journal.Item) []journal.Item { l[i].Count--; return l },
						} {
							if how == "one less" && item.Count == 1 {
								continue // that is left out
							}
							v := state(func(s *story) { relist(s, c, wrong) }, c.hold)
							if v.State == route.Met || !strings.Contains(v.Why, journal.Called(item.What)) {
								t.Errorf("%s, %s %s: %s: %s", c.step, item.What, how, v.State, v.Why)
							}
						}
					}
					if v := state(func(s *story) { s.move(c.step, c.late) }, c.hold); v.State == route.Met {
						t.Errorf("%s after the fact: %s", c.step, v.Why)
					}
					if v := state(func(s *story) { elsewhere(s, c) }, c.hold); v.State == route.Met {
						t.Errorf("%s on another corner: %s", c.step, v.Why)
					}
				}
			})
		}
	}
}

// Each joint of a preset is asked for with all its bolts, and no joint that
// the part has not.
func TestBoltsThatAPartHas(t *testing.T) {
	for _, name := range card.SuppliedNames() {
		pinned := supplied(t, name)
		for _, p := range pinned.Presets {
			complete := func(joint string, does func(*story)) bool {
				s := bench(t, p)
				does(s)
				job, shop := fold(s.write().log)
				is := facts.StockOf(shop).Job(pinned, job).Corners[0].Scope.Corner.Joints[joint]
				return is.Needed && is.Complete
			}
			for _, joint := range []string{"banjo", "bracket", "caliper", "actuator", "ball", "bush"} {
				i := slices.IndexFunc(p.Joints, func(j card.Bolted) bool { return pinned.Joint(j.Joint) == joint })
				if i < 0 {
					if pinned.Joints[joint].Names != nil && complete(joint, func(*story) {}) {
						t.Errorf("%s: the joint %s is asked for", p.Name, joint)
					}
					continue
				}
				step := "tight " + p.Joints[i].Joint
				if !complete(joint, func(*story) {}) {
					t.Errorf("%s: the joint %s is not complete", p.Name, joint)
				}
				if complete(joint, func(s *story) { s.drop(step) }) {
					t.Errorf("%s: the joint %s is complete with nothing tightened", p.Name, joint)
				}
				if p.Joints[i].Bolts > 1 && complete(joint, func(s *story) { edit(s, step, func(t *journal.Torque) { t.Count-- }) }) {
					t.Errorf("%s: the joint %s is complete with one bolt less", p.Name, joint)
				}
				if complete(joint, func(s *story) { s.move(step, "removed") }) {
					t.Errorf("%s: the joint %s is complete before the part was back on", p.Name, joint)
				}
				if complete(joint, func(s *story) {
					st := &s.steps[s.index(step)]
					st.about = journal.About(jobID, "RF", st.about.Part())
				}) {
					t.Errorf("%s: the joint %s is complete with that of another corner tightened", p.Name, joint)
				}
				if complete(joint, func(s *story) { edit(s, step, func(t *journal.Torque) { t.Joint = "hanging bolt" }) }) {
					t.Errorf("%s: the joint %s is complete with another one tightened", p.Name, joint)
				}
			}
		}
	}
}
