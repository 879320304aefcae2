package route_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/route"
)

// A hold that is asked once for several things stands as the worst of them and
// says which that is; a waiver for one thing is for that one.
func TestHoldsAskedOnce(t *testing.T) {
	vehicle, lf := at("", ""), at("LF", "")
	cracked := func(behind, name string) func(*story) {
		return then(behind, func(*story) step {
			return plain(name, bench1, at("LF", "caliper"), "mk", journal.Condition{Condition: journal.CrackedEar, Where: "upper ear", Decision: journal.RepairIt, Reason: "cracked through"})
		})
	}
	thin := func(part string) func(*story) {
		return with("film "+part, func(f *journal.FilmReadings) { f.Spots = spots("40 µm") })
	}
	for _, test := range []struct {
		what  string
		does  func(*story)
		hold  journal.HoldID
		about journal.Subject
		is    route.State
		at    []journal.Subject
		says  string // how the sentence begins
	}{
		{"all alike", func(*story) {}, "dew-point", vehicle, route.Met, nil, "the metal is"},
		{"all met, each in its way", func(*story) {}, "masked", lf, route.Met, nil, "bracket: 9 bores, threads and seats masked; caliper: 14 bores"},
		{"one part of a corner", without("mask LF caliper"), "masked", lf, route.Broken, []journal.Subject{at("LF", "caliper")}, "caliper: powder went on while nothing was masked — Film in a bore"},
		{"the other corner is another question", without("mask RF caliper"), "masked", lf, route.Met, nil, "bracket: "},
		{"two parts of a vehicle", does(thin("LF caliper"), thin("RF bracket")), "film", vehicle, route.Broken, []journal.Subject{at("LF", "caliper"), at("RF", "bracket")}, "LF caliper and RF bracket: PA 2 style"},
		{"one of the two waived", does(thin("LF caliper"), thin("RF bracket"), func(s *story) { s.add(waiver("waived", at("LF", "caliper"), "io", "film")) }), "film", vehicle, route.Broken, []journal.Subject{at("RF", "bracket")}, "RF bracket: PA 2 style"},
		{"both waived at once", does(thin("LF caliper"), thin("RF bracket"), func(s *story) { s.add(waiver("waived", vehicle, "io", "film")) }), "film", vehicle, route.Waived, []journal.Subject{at("LF", "caliper"), at("RF", "bracket")}, "LF caliper and RF bracket: waived by IO"},
		{"one not there yet", without("film RF bracket"), "film", vehicle, route.Open, []journal.Subject{at("RF", "bracket")}, "RF bracket: the film has not been measured yet"},
		{"a clause that is to be said of all", cracked("blast", "crack"), "defects", vehicle, route.Met, nil, "no defect of the coat was written down; LF caliper: cracked ear at upper ear: repair"},
		{"a clause that is to be said of some", does(cracked("blast", "crack"), then("blast", func(s *story) step {
			return plain("pore", bench1, at("RF", "caliper"), "mk", journal.Defect{Looks: "pinhole", Face: "back", Seen: journal.AfterBake})
		})), "defects", vehicle, route.Broken, []journal.Subject{at("RF", "caliper")}, "RF caliper: nobody has decided yet about the pinhole on back"},
		{"a thing of which the same is to be said twice", does(cracked("blast", "crack"), cracked("crack", "crack again")), "sound", at("LF", "caliper"), route.Met, nil, "cracked ear at upper ear: repair"},
		{"corners together", with("RF bleed", func(b *journal.Bleed) { b.Screw = nm(25) }), "screw-torque", vehicle, route.Broken, []journal.Subject{at("RF", "")}, "RF: bleeder screw 25 N.m with tw-2"},
	} {
		t.Run(test.what, func(t *testing.T) {
			s := complete(t)
			test.does(s)
			w := s.write()
			job, shop := fold(w.log)
			all := route.Check(supplied(t, "caliper"), job, shop)
			v := stands(all, test.hold, test.about)
			if v.State != test.is || !strings.HasPrefix(v.Why, test.says) {
				t.Errorf("%s: %s", v.State, v.Why)
			}
			for _, clause := range strings.Split(strings.TrimSuffix(v.Why, "."), "; ") {
				if strings.Count("; "+v.Why+"; ", "; "+clause+"; ") > 1 {
					t.Errorf("%q is said twice: %s", clause, v.Why)
				}
			}
			if test.at != nil && !slices.Equal(v.At, test.at) {
				t.Errorf("it stands so at %v", v.At)
			}
			for i, id := range v.Entries {
				if i > 0 && shop.Line(v.Entries[i-1])[0].Compare(shop.Line(id)[0]) >= 0 {
					t.Errorf("its entries are not in the order of replay: %v", v.Entries)
				}
			}
			if named := all.Handover().Say(); test.is == route.Broken && !strings.Contains(named, v.Title) {
				t.Errorf("handed back with %q", named)
			}
		})
	}
}
