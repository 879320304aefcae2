package route_test

import (
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// arms is a job on one suspension arm: nothing in it is a caliper or a line.
func arms(tb testing.TB) *story {
	arm := at("RF", "arm")
	rack := journal.Rack{Parts: []journal.Subject{arm}}
	trace := warming(35, 205)
	s, is := &story{tb: tb}, preset(tb, "arm with ball joint and two bushes")
	s.register()
	s.add(
		plain("spec ball", office, "spec/ball", "io", journal.TorqueSpec{Spec: "ball", Joint: "ball joint nut", Nominal: q[unit.Torque]("60 N.m"), Low: q[unit.Torque]("55 N.m"), High: q[unit.Torque]("65 N.m"), From: "maker's manual"}),
		plain("spec bush", office, "spec/bush", "io", journal.TorqueSpec{Spec: "bush", Joint: "bush bolts", Nominal: q[unit.Torque]("90 N.m"), Low: q[unit.Torque]("80 N.m"), High: q[unit.Torque]("100 N.m"), From: "maker's manual"}),
		plain("opened", office, at("", ""), "io", journal.Job{Vehicle: journal.Vehicle{Plate: "GVN 0316"}, Corners: []journal.Corner{"RF"}, Route: "arm", Edition: 1}),
		plain("received", bench1, at("", ""), "io", journal.Arrival{Agreed: true}),
		plain("raised", bench1, at("", ""), "io", journal.Raising{Points: "sills", Stands: 2}),
		plain("removed", bench1, arm, "mk", journal.Removal{}),
		plain("tagged", bench1, arm, "mk", journal.Tagging{Tag: "A1", Metal: "steel"}),
		plain("described", bench1, arm, "mk", *is),
		plain("strip", bench1, arm, "mk", journal.Stripping{Removed: []string{"ball joint"}, Rubber: "none left in", Out: is.Rubber}),
		plain("wash", bench1, "run/w", "mk", journal.Degreasing{Rack: rack, Agent: "alkaline bath"}),
		plain("blast", bench1, "run/b", "mk", journal.Blasting{Rack: rack, Media: "glass bead"}),
		plain("mask", bench1, arm, "mk", journal.Masking{Features: is.Covered(), Plugs: 3}),
		plain("powder", bench1, "run/p", "mk", journal.Coating{Rack: rack, Lot: "so-118", Coat: 1}),
		plain("bake", bench1, "run/p", "mk", journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("205 °C"), Probes: []journal.Probe{{Channel: "0", Place: "web", On: arm}}}),
		plain("trace", bench1, "run/p", "mk", trace),
		plain("unmask", bench1, arm, "mk", journal.Unmasking{Plugs: 3, Features: is.Plugged()}),
		plain("seats", bench1, arm, "mk", journal.SeatProof{Shown: is.Bare(), State: "bare"}),
		plain("rebuilt", bench1, arm, "mk", journal.Rebuild{NewParts: is.Rubber}),
		plain("refitted", bench1, arm, "mk", journal.Refitting{}),
		plain("ball", bench1, arm, "mk", journal.Torque{Joint: "ball joint nut", Torque: q[unit.Torque]("60 N.m"), Tool: "tw-1", Spec: "ball"}),
		plain("bush", bench1, arm, "mk", journal.Torque{Joint: "bush bolts", Torque: q[unit.Torque]("90 N.m"), Tool: "tw-1", Spec: "bush", Count: 2, NewBolts: true}),
		plain("snug", bench1, at("RF", ""), "mk", journal.WheelFit{Step: journal.WheelSnug, Nuts: 5, Pattern: "star", Torque: q[unit.Torque]("50 N.m"), Tool: "tw-3", Spec: "wheel"}),
		plain("full", bench1, at("RF", ""), "mk", journal.WheelFit{Step: journal.WheelFull, Nuts: 5, Pattern: "star", Torque: q[unit.Torque]("120 N.m"), Tool: "tw-3", Spec: "wheel"}),
		plain("road", bench1, at("", ""), "io", journal.RoadTest{Distance: q[unit.Distance]("4 mi"), Result: "straight"}),
		linked("second", bench2, at("", ""), "jr", func(ids map[string]journal.EntryID) journal.Payload {
			return &journal.SecondCheck{Of: ids["road"], Finds: journal.FoundRight}
		}),
	)
	return s
}

// Nothing in the program is tied to calipers: another card, other parts.
func TestArms(t *testing.T) {
	pinned := supplied(t, "arm")
	w := arms(t).write()
	for _, v := range checked(pinned, w.log).List {
		if v.State != route.Met {
			t.Errorf("%s %s: %s: %s", v.Hold, v.Subject, v.State, v.Why)
		}
		if v.Class != card.Safety {
			continue
		}
		for _, id := range v.Entries {
			if now := stands(checked(pinned, w.without(t, id)), v.Hold, v.Subject); now.State == route.Met {
				t.Errorf("%s is met without %s", v.Hold, nameOf(w, id))
			}
		}
	}
	s := arms(t)
	s.move("bush", "removed")
	if v := stands(checked(pinned, s.write().log), "bush-torque", at("RF", "")); v.State != route.Broken && v.State != route.Open {
		t.Errorf("tightened before the arm was back: %s: %s", v.State, v.Why)
	}
	if v := stands(checked(supplied(t, "caliper"), w.log), "washers", at("RF", "")); v.State != "" {
		t.Errorf("an arm is asked for washers: %s", v.Why)
	}
}

// The one person of a shop looks at an arm again as at brakes.
func TestArmInAShopOfOne(t *testing.T) {
	for _, test := range []struct {
		after time.Duration
		is    route.State
	}{{31 * time.Minute, route.Met}, {29 * time.Minute, route.Broken}} {
		s := arms(t)
		s.drop("person jr", "person mk", "second")
		for i := range s.steps {
			s.steps[i].by = "io"
		}
		s.add(lookAgain("again", "road", test.after))
		if v := stands(checked(supplied(t, "arm"), s.write().log), "second-person", at("", "")); v.State != test.is {
			t.Errorf("after %s: %s: %s", test.after, v.State, v.Why)
		}
	}
}
