package route_test

import (
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// ruled is a card of one hold on the level of a part, a corner or the vehicle.
func ruled(tb testing.TB, level card.Level, rule string) *card.Card {
	tb.Helper()
	pinned, err := card.Parse(`
name: one
edition: 1
title: One
joints:
  banjo: {names: [banjo bolt], hydraulic: true}
  bracket: {names: [bracket bolt], of: bracket, bolts: 2}
stages:
  - name: only
    title: Only
    level: ` + string(level) + `
    holds:
      - {id: hold, title: Hold, class: safety, once: "true", reason: R, limit: L, source: S, rule: '` + rule + `'}
`)
	if err != nil {
		tb.Fatal(err)
	}
	return pinned
}

// What the facts say of jobs that are not as simple as the complete one.
func TestFacts(t *testing.T) {
	caliper := at("LF", "caliper")
	rack := journal.Rack{Parts: []journal.Subject{caliper}}
	powder2 := plain("powder 2", bench1, "run/coat-2", "mk", journal.Coating{Rack: rack, Lot: "so-118", Coat: 2})
	bake2 := plain("bake 2", bench1, "run/bake-2", "mk", journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("205 °C"), Probes: []journal.Probe{{Channel: "0", Place: "thick section", On: caliper}}})
	trace2 := plain("trace 2", bench1, "run/bake-2", "mk", warming(35, 205))
	correct := func(of string, data journal.Payload) step {
		return linked("correction", bench1, at("LF", ""), "mk", func(ids map[string]journal.EntryID) journal.Payload {
			c := &journal.Correction{Of: ids[of], Reason: "slip"}
			if data != nil {
				c.Data, _ = journal.MarshalPayload(data)
			}
			return c
		})
	}
	for _, trial := range []struct {
		what  string
		level card.Level
		about journal.Subject
		does  func(*story)
		rule  string
		says  string // a part of what the verdict says
	}{
		{"a slip that was corrected counts as corrected", card.OnCorner, at("LF", ""), func(s *story) {
			torqueAs(s, "LF banjo bolt", "220 N.m")
			s.add(correct("LF banjo bolt", &journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Spec: "banjo"}))
		}, "corner.joints.banjo.guarded", "22 N.m is inside"},
		{"what is struck counts for nothing", card.OnCorner, at("LF", ""), func(s *story) { s.add(correct("LF banjo bolt", nil)) },
			"!corner.joints.banjo.done", ""},
		{"a wrong torque is right once it was tightened again", card.OnCorner, at("LF", ""), func(s *story) {
			torqueAs(s, "LF banjo bolt", "29 N.m")
			s.after("LF banjo bolt", plain("again", bench1, at("LF", ""), "mk", journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("22 N.m"), Tool: "tw-2", Spec: "banjo"}))
		}, "corner.joints.banjo.inside && corner.joints.banjo.bolts == 1", ""},
		{"one bolt tightened again does not make two right", card.OnCorner, at("LF", ""), func(s *story) {
			torqueAs(s, "LF bracket bolts", "90 N.m")
			s.after("LF bracket bolts", plain("again", bench1, at("LF", "bracket"), "mk", journal.Torque{Joint: "bracket bolt", Torque: q[unit.Torque]("105 N.m"), Tool: "tw-1", Spec: "bracket", NewBolts: true}))
		}, `!corner.joints.bracket.inside && corner.joints.bracket.verdict == "outside"`, "outside 98.0 N·m to 112.0 N·m"},
		{"a figure for another joint proves nothing", card.OnCorner, at("LF", ""), func(s *story) {
			edit(s, "LF banjo bolt", func(p *journal.Torque) { p.Spec = "bracket"; p.Torque = q[unit.Torque]("105 N.m"); p.Tool = "tw-1" })
		}, `corner.joints.banjo.verdict == "not proven"`, "for another joint"},
		{"a tool past its date proves nothing", card.OnCorner, at("LF", ""), func(s *story) {
			edit(s, "check tw-2", func(c *journal.ToolCheck) { c.Due = "2026-03-01" })
		}, `corner.joints.banjo.verdict == "not proven"`, "ran out on 1 March 2026"},
		{"a tool used more often than its check holds for", card.OnCorner, at("LF", ""), func(s *story) {
			edit(s, "check tw-2", func(c *journal.ToolCheck) { c.Cycles = 1 })
		}, `!corner.joints.banjo.inside`, "used 5 times since its calibration, and it holds for 1"},
		{"a check that was good ends the doubt of one after it", card.OnCorner, at("LF", ""), func(s *story) {
			s.add(plain("good", office, "tool/tw-2", "io", journal.ToolCheck{Tool: "tw-2", Result: "in tolerance"}),
				plain("bad", office, "tool/tw-2", "io", journal.ToolCheck{Tool: "tw-2", Result: "out of tolerance"}))
		}, `corner.joints.banjo.inside`, ""},
		{"an adapter changes what the bolt gets", card.OnCorner, at("LF", ""), func(s *story) {
			edit(s, "LF bracket bolts", func(p *journal.Torque) {
				p.Adapter = &journal.Adapter{Wrench: q[unit.Length]("400 mm"), Offset: q[unit.Length]("100 mm")}
			})
		}, `corner.joints.bracket.verdict == "outside"`, "131.2 N·m at the bolt"},

		{"each coat has the bakes after it", card.OnPart, caliper, func(s *story) { s.after("cured", powder2); s.after("powder 2", bake2); s.after("bake 2", trace2) },
			`part.cure.proven && part.cure.overbake == "" && part.powder.coats == 2`, "coat 2: schedule met 1.16 times"},
		{"a coat without a bake of its own", card.OnPart, caliper, func(s *story) { s.after("cured", powder2) }, "!part.cure.baked", "coat 2 has not been baked yet"},
		{"no probe on the part", card.OnPart, caliper, func(s *story) {
			edit(s, "bake", func(b *journal.BakeStart) { b.Probes = b.Probes[1:] })
		}, `part.cure.verdict == "not proven" && !part.heat.measured`, "coat 1: not proven: no probe was on the part"},
		{"a trace that was logged twice counts once", card.OnPart, caliper, func(s *story) {
			edit(s, "trace", func(p *journal.ProbeTrace) { short(p) })
			again := s.steps[s.index("trace")]
			again.name, again.on = "trace again", bench2
			s.after("trace", again)
		}, `part.cure.verdict == "schedule not met" && part.cure.index < 0.3`, ""},
		{"a lot without a schedule", card.OnPart, caliper, func(s *story) {
			edit(s, "lot", func(l *journal.PowderLot) { l.Schedule = nil })
		}, `!part.cure.proven && !part.powder.schedule`, "schedule is not here"},
		{"a strip and recoat begins a new coat", card.OnPart, caliper, func(s *story) {
			s.after("film LF caliper", plain("sag", bench1, caliper, "mk", journal.Defect{Looks: "run", Face: "edge", Seen: "after bake"}))
			s.after("sag", linked("redo", bench1, caliper, "mk", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Rework{Of: ids["sag"], Decision: "strip and recoat", Reason: "runs"}
			}))
		}, "part.defects.redo == 1 && part.defects.rework == 1 && !part.powder.done && part.plugs.put_in == 7", ""},
		{"a decision that stands on the job is about the part", card.OnPart, caliper, func(s *story) {
			s.after("film LF caliper", plain("sag", bench1, caliper, "mk", journal.Defect{Looks: "run", Face: "edge", Seen: "after bake"}))
			s.after("sag", linked("redo", bench1, at("", ""), "mk", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Rework{Of: ids["sag"], Decision: "strip and recoat", Reason: "runs"}
			}))
		}, "part.defects.redo == 1 && !part.powder.done", ""},
		{"heat of an earlier job of the same casting", card.OnPart, caliper, func(s *story) {
			before := journal.About("0ld", "LF", "caliper")
			s.steps = append([]step{
				plain("old tag", bench1, before, "mk", journal.Tagging{Tag: "x", Mark: "LFcaliper", Metal: "iron"}),
				plain("old soak", bench1, before, "mk", journal.Soaking{Set: q[unit.Temperature]("230 °C"), Held: q[unit.Duration]("70 min")}),
			}, s.steps...)
		}, "part.heat.runs == 3 && part.heat.minutes > 120.0", "over the life of the casting"},
		{"heat that nobody measured counts by the clock", card.OnPart, caliper, func(s *story) { s.drop("trace") },
			"part.heat.minutes == 50.0 && !part.heat.measured", "at most"},
		{"heat of which nobody wrote how long it was ended when the work went on", card.OnPart, caliper, func(s *story) {
			s.drop("trace", "cured")
			s.steps[s.index("unmask LF caliper")].after = 3 * time.Hour
		}, "part.heat.minutes == 210.0 && !part.heat.measured", "210 min above 150 °C over the life of the casting, at most"},

		{"the wall clock was set, the running clock counts", card.OnPart, caliper, func(s *story) {
			s.steps[s.index("powder")].jump = 5 * time.Hour
		}, "part.soak.minutes_to_powder == 1.0", "by the device’s running clock"},
		{"the device was started anew", card.OnPart, caliper, func(s *story) {
			st := &s.steps[s.index("powder")]
			st.boot, st.after = "00000001", 7*time.Minute
		}, "part.soak.minutes_to_powder == 7.0", "as it was restarted"},
		{"two devices have their times of day", card.OnPart, caliper, func(s *story) { s.steps[s.index("powder")].on = bench2 },
			"part.soak.minutes_to_powder == 1.0", "two devices"},

		{"two calipers in one corner", card.OnCorner, at("LF", ""), func(s *story) {
			s.add(plain("second caliper", bench1, at("LF", "caliper-2"), "mk", journal.Removal{}))
		}, `!corner.parts.back && corner.parts.names.size() == 2`, "caliper-2 is not back on"},
		{"a part of which only a struck entry tells", card.OnCorner, at("LF", ""), func(s *story) {
			s.add(plain("slip", bench1, at("LF", "cover"), "mk", journal.Removal{}), correct("slip", nil))
		}, `corner.parts.back`, ""},
		{"a line closed by another word is the one that is open", card.OnCorner, at("LF", ""), func(s *story) {
			edit(s, "LF connected", func(c *journal.LineConnection) { c.At = "hose" })
		}, `corner.line.closed && corner.bleed.done`, ""},
		{"the other of two places is open", card.OnCorner, at("LF", ""), func(s *story) {
			s.after("LF opened", plain("flare", bench1, at("LF", ""), "mk", journal.LineOpening{At: "flare nut"}))
		}, `!corner.line.closed && !corner.bleed.done && corner.washers.least == 2`, "flare nut"},
		{"a line ahead of all corners was opened", card.OnVehicle, at("", ""), func(s *story) {
			s.after("look 3", plain("master", bench1, at("", ""), "mk", journal.LineOpening{At: "master cylinder"}))
		}, `!vehicle.bleed.complete && vehicle.bleed.needs.size() == 4`, ""},
		{"levels and volumes say it was below MIN", card.OnVehicle, at("", ""), func(s *story) {
			edit(s, "look 1", func(r *journal.Reservoir) { r.Span = q[unit.Volume]("300 mL") })
			edit(s, "LF bleed", func(b *journal.Bleed) { b.Drawn = q[unit.Volume]("500 mL") })
		}, `vehicle.reservoir.looked && vehicle.reservoir.below_min`, "below MIN"},
		{"a leak check after the road test is not work", card.OnVehicle, at("", ""), func(s *story) {
			s.add(plain("again", bench1, at("", ""), "mk", journal.LeakCheck{Held: q[unit.Duration]("60 s"), Result: "dry"}))
		}, `vehicle.road.done && vehicle.road.checked && vehicle.leak.done`, ""},
		{"driven before the pedal was tried", card.OnVehicle, at("", ""), func(s *story) {
			s.move("pedal", "road")
		}, `vehicle.road.done && !vehicle.road.checked && vehicle.pedal.done`, "driven before"},
		{"nobody else has the duty to look", card.OnVehicle, at("", ""), func(s *story) {
			s.drop("person jr")
		}, `!vehicle.second.wanted && !vehicle.second.done`, ""},
		{"one's own work", card.OnVehicle, at("", ""), func(s *story) {
			s.steps[s.index("road")].by = "jr"
		}, `vehicle.second.wanted && !vehicle.second.done`, "work of their own"},
		{"the second person found it wrong", card.OnVehicle, at("", ""), func(s *story) {
			s.add(linked("wrong", bench2, at("", ""), "jr", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.SecondCheck{Of: ids["road"], Finds: "wrong"}
			}))
		}, `!vehicle.second.done`, "found it wrong"},
	} {
		t.Run(trial.what, func(t *testing.T) {
			s := complete(t)
			trial.does(s)
			w := s.write()
			v := stands(checked(ruled(t, trial.level, trial.rule), w.log), "hold", trial.about)
			if v.State != route.Met {
				t.Errorf("%s is not so: %s", trial.rule, v.Why)
			}
			told := strings.Join(v.Figures, "; ")
			not := stands(checked(ruled(t, trial.level, "!("+trial.rule+")"), w.log), "hold", trial.about)
			if !strings.Contains(told+not.Why, trial.says) {
				t.Errorf("%q is not told in %q", trial.says, told+not.Why)
			}
		})
	}
}

// What is stripped and recoated at one part is not done by powder on another.
func TestRedoIsOfItsPart(t *testing.T) {
	rule := ruled(t, card.OnVehicle, "vehicle.defects.redo == 0")
	for _, part := range []journal.PartID{"caliper", "bracket"} {
		s := complete(t)
		s.after("film LF caliper", plain("run", bench1, at("LF", "caliper"), "mk", journal.Defect{Looks: journal.Run, Face: "flat", Seen: journal.AfterBake}))
		s.after("run", linked("ruling", bench1, at("LF", "caliper"), "mk", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.Rework{Of: ids["run"], Decision: journal.StripAndRecoat, Reason: "seen from the road"}
		}))
		s.after("ruling", plain("powder again", bench1, at("LF", part), "mk", journal.Coating{Lot: "so-118", Coat: 1}))
		if v := stands(checked(rule, s.write().log), "hold", at("", "")); (v.State == route.Met) != (part == "caliper") {
			t.Errorf("powder on the %s again: %s: %s", part, v.State, v.Why)
		}
	}
}
