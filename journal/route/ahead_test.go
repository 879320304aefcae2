package route_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
)

// TestAhead: what is written in one go with what comes next, and where that ends.
func TestAhead(t *testing.T) {
	lf, caliper := at("LF", ""), at("LF", "caliper")
	for _, c := range []struct {
		what, until string
		about       journal.Subject
		has, not    []journal.Kind
	}{
		{"at the counter", "opened", at("", ""), []journal.Kind{journal.VehicleRaised}, []journal.Kind{journal.VehicleReceived, journal.LeakChecked}},
		{"no part comes off before the parking brake is known", "opened", at("LF", ""), nil, []journal.Kind{journal.PartRemoved, journal.LineOpened}},
		{"off and tagged", "LF tagged bracket", lf, []journal.Kind{journal.HardwareBagged, journal.LineOpened}, []journal.Kind{journal.BleedDone}},
		{"stripping hides how it came off", "LF tagged bracket", caliper, nil, []journal.Kind{journal.PartStripped, journal.PartDegreased}},
		{"a wash is of many parts", "RF strip", caliper, nil, []journal.Kind{journal.PartDegreased, journal.PartBlasted, journal.BoreMasked}},
		{"out of the oven", "cured", caliper, []journal.Kind{journal.FilmMeasured, journal.SeatProved, journal.PartRebuilt}, []journal.Kind{journal.BoreUnmasked, journal.PartRefitted}},
		{"back on", "LF rebuilt", lf, []journal.Kind{journal.WasherReplaced, journal.LineConnected, journal.TorqueApplied, journal.PhotoTaken}, []journal.Kind{journal.BleedDone}},
		{"a look at the reservoir and then one corner", "RF bag empty", at("RF", ""), []journal.Kind{journal.BleedDone}, []journal.Kind{journal.WheelFitted}},
		{"the next corner waits for another look", "RF bag empty", lf, nil, []journal.Kind{journal.BleedDone, journal.WheelFitted}},
		{"the last look and the leak check", "LF bleed", at("", ""), []journal.Kind{journal.LeakChecked}, []journal.Kind{journal.RoadTested, journal.ReservoirTopped}},
		{"a wheel waits for the leak check", "LF bleed", lf, nil, []journal.Kind{journal.WheelFitted}},
		{"nothing is left", "second", at("", ""), nil, []journal.Kind{journal.RoadTested}},
	} {
		t.Run(c.what, func(t *testing.T) {
			s := complete(t)
			s.until(c.until)
			job, shop := fold(s.write().log)
			h := held(supplied(t, "caliper"), job, shop)
			var kinds []journal.Kind
			for _, todo := range h.Ahead(h.Next()) {
				if todo.Subject == c.about {
					kinds = append(kinds, todo.Kind)
				}
			}
			for _, k := range c.has {
				if !slices.Contains(kinds, k) {
					t.Errorf("%s is not ahead: %v", k, kinds)
				}
			}
			for _, k := range c.not {
				if slices.Contains(kinds, k) {
					t.Errorf("%s is ahead", k)
				}
			}
		})
	}
}
