package route_test

import (
	"testing"

	"fettlebook/journal"
)

// Chlorine, or solvent that is still wet, must not meet heat.
func TestWashing(t *testing.T) {
	lf := at("LF", "caliper")
	rack := journal.Rack{Parts: castings([]journal.Corner{"LF", "RF"})}
	wash := func(change func(*journal.Degreasing)) func(*story) {
		return func(s *story) { edit(s, "wash", change) }
	}
	// wiped wets the parts with solvent after masking, just before the soak.
	wiped := func(left journal.Wetness) func(*story) {
		return func(s *story) {
			s.after("mask RF bracket", plain("wipe", bench1, "run/wash-2", "mk", journal.Degreasing{Rack: rack, Agent: "isopropanol", Left: left}))
		}
	}
	dry := func(s *story) { edit(s, "soak", func(p *journal.Soaking) { p.Dry = true }) }
	judged(t, []work{
		{"washed in an alkaline bath", "no-chlorine", lf, func(*story) {}, true, ""},
		{"wet with water", "no-chlorine", lf, wiped(journal.WetWithWater), true, ""},
		{"wiped with solvent and left dry", "no-chlorine", lf, wiped(journal.LeftDry), true, ""},
		{"wet with solvent, then blasted", "no-chlorine", lf, wash(func(d *journal.Degreasing) { d.Left = journal.WetWithSolvent }), true, ""},
		{"wet with solvent, and dry before the soak", "no-chlorine", lf, does(wiped(journal.WetWithSolvent), dry), true, ""},
		{"chlorinated, then washed without", "no-chlorine", lf, does(wash(func(d *journal.Degreasing) { d.Chlorinated = true }), wiped(journal.LeftDry)), true, ""},

		{"chlorinated", "no-chlorine", lf, wash(func(d *journal.Degreasing) { d.Chlorinated = true }), false, "went into heat after a chlorinated degreaser"},
		{"chlorinated, and said to be dry", "no-chlorine", lf, does(wash(func(d *journal.Degreasing) { d.Chlorinated = true }), dry), false, "went into heat after a chlorinated degreaser"},
		{"wet with solvent into the soak", "no-chlorine", lf, wiped(journal.WetWithSolvent), false, "went into heat while it was wet with solvent"},
		{"wet with solvent into the bake", "no-chlorine", lf, func(s *story) {
			wiped(journal.WetWithSolvent)(s)
			s.move("wipe", "powder")
		}, false, "went into heat while it was wet with solvent"},
		{"and dry only at the next heat", "no-chlorine", lf, func(s *story) {
			wiped(journal.WetWithSolvent)(s)
			edit(s, "bake", func(b *journal.BakeStart) { b.Dry = true })
		}, false, "went into heat while it was wet with solvent"},
	})
}

// Adhesion that was tested and failed is not met, on either scale; a test of
// film that is not on any more says nothing.
func TestAdhesion(t *testing.T) {
	lf := at("LF", "caliper")
	rack := journal.Rack{Parts: []journal.Subject{lf}}
	tested := func(behind string, scale journal.AdhesionScale, class string) func(*story) {
		return func(s *story) {
			s.after(behind, plain("cross-cut "+class, bench1, "run/test-1", "mk", journal.AdhesionTest{Rack: rack, Scale: scale, Class: class, On: journal.OnCoupon}))
		}
	}
	last := "film LF caliper"
	judged(t, []work{
		{"not tested", "film", lf, func(*story) {}, true, ""},
		{"class 0", "film", lf, tested(last, journal.ISO2409, "0"), true, "cross-cut class 0 by ISO 2409 on the coupon, nothing came off: passes"},
		{"class 1", "film", lf, tested(last, journal.ISO2409, "1"), true, "up to 5 % came off: passes"},
		{"class 5B", "film", lf, tested(last, journal.ASTMD3359B, "5B"), true, "class 5B by ASTM D3359 B"},
		{"class 4B", "film", lf, tested(last, journal.ASTMD3359B, "4B"), true, "passes"},
		{"failed before the bake that put it right", "film", lf, tested("powder", journal.ISO2409, "4"), true, ""},

		{"class 2", "film", lf, tested(last, journal.ISO2409, "2"), false, "5 to 15 % came off: fails"},
		{"class 5", "film", lf, tested(last, journal.ISO2409, "5"), false, "more than 65 % came off: fails"},
		{"class 0B", "film", lf, tested(last, journal.ASTMD3359B, "0B"), false, "class 0B by ASTM D3359 B"},
		{"failed, and passed elsewhere", "film", lf, does(tested(last, journal.ISO2409, "3"), tested(last, journal.ISO2409, "0")), false, "class 3"},
		{"film too thick", "film", lf, func(s *story) { edit(s, last, func(f *journal.FilmReadings) { f.Spots = spots("130 µm") }) }, false, "fails"},
		{"film too thin", "film", lf, func(s *story) { edit(s, last, func(f *journal.FilmReadings) { f.Spots = spots("40 µm") }) }, false, "fails"},
	})
	judged(t, []work{
		{"the metal is warm enough", "dew-point", lf, func(*story) {}, true, "K above the dew point of 8.3 °C; at least 3.0 K is required: passes"},
	})
}
