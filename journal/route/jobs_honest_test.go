package route_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// Jobs that must go through, with all holds met.
func TestHonestJobs(t *testing.T) {
	cases := append(honestKinds(), honestBolts()...)
	cases = append(cases, honestCoats()...)
	cases = append(cases, honestBrakes()...)
	cases = append(cases, honestUncoated()...)
	cases = append(cases, honestReplaced()...)
	cases = append(cases, honestArms()...)
	if len(cases) < 40 {
		t.Errorf("only %d honest jobs", len(cases))
	}
	playCases(t, cases, func(jobCase) end { return goesOut })
}

func honestKinds() []jobCase {
	return []jobCase{
		{"a floating front pair", front, nil,
			"masked", "LF caliper", "9 bores, threads and seats masked"},
		{"a rear pair with motors", rearElectric, nil,
			"parking-brake", "vehicle", "parking brake: electric; in service mode and out again"},
		{"a rear pair with cables", rearCable, nil,
			"parking-brake-set", "vehicle", "adjusted"},
		{"fixed calipers all round, an electric car on a lift", fixedAround, nil,
			"bled", "RF", "100 mL drawn, bubbles at the end: none"},
		{"each bleeder screw by itself", fixedAround, does(with("RF bleed", func(b *journal.Bleed) { b.Screws, b.Which = 0, "inner" }), again("RF bleed", "RF bleed", func(b *journal.Bleed) { b.Screws, b.Which = 0, "outer" })),
			"bled", "RF", "100 mL drawn, bubbles at the end: none"},
		{"a bracket alone, the line closed", oneBracket, nil,
			"caliper-torque", "RF", "guide pin bolt: 30 N.m is inside 27.0 N·m to 33.0 N·m with the tool’s ±4 % to either side, 28.8 N·m to 31.2 N·m (maker's manual, 4-17)"},
		{"a corner that is only bled", onlyBled, nil,
			"bled-complete", "vehicle", "bled after the last opening: LR"},
		{"a change of all fluid", flushed, nil,
			"bled-complete", "vehicle", "bled after the last opening: RR, LR, RF, LF"},
		{"flare nuts", flareFront, nil,
			"flare-torque", "LF", "flare nut: 16 N.m is inside 14.0 N·m to 18.0 N·m with the tool’s ±4 % to either side, 15.4 N·m to 16.6 N·m (maker's manual, 4-17)"},
		{"mineral oil", mineral, nil,
			"fluid", "vehicle", "mineral oil from bf-31; mineral oil suits a vehicle that asks for mineral oil (the vehicle’s reservoir cap)"},
		{"a diagonal split", diagonal, nil,
			"bleed-order", "vehicle", "bled in the order RF, LF; the vehicle’s manual, 4-20 asks for LR, RF, RR, LF"},
		{"a lift instead of stands", front, with("raised", func(r *journal.Raising) { r.Stands, r.Lift = 0, true }),
			"stands", "vehicle", "on a lift: sills"},
		{"four corners on four stands", fixedAround, with("raised", func(r *journal.Raising) { r.Stands, r.Lift = 4, false }),
			"stands", "vehicle", "4 stands for two axles: sills"},
		{"the make-up is counted again, and corrected", front, does(
			then("LF described caliper", func(s *story) step {
				has := *preset(s.tb, floating)
				has.Threads = append(has.Threads, journal.Item{What: "hose bracket thread", Count: 1})
				return plain("counted again", bench1, s.on("LF", "caliper"), "mk", has)
			}),
			with("mask LF caliper", func(m *journal.Masking) {
				m.Features = append(m.Features, journal.Item{What: "hose bracket thread", Count: 1})
			}),
			with("unmask LF caliper", func(u *journal.Unmasking) {
				u.Features = append(u.Features, journal.Item{What: "hose bracket thread", Count: 1})
			}),
		),
			"masked", "LF caliper", "10 bores, threads and seats masked"},
		{"the empty bag, photographed by the words of the hold", front, with("LF bag empty", func(p *journal.Snapshot) { p.Evidence = seen("Empty bag") }),
			"bag-empty", "LF", "2 pieces bagged; a photograph shows the bag empty"},
		{"parts that the customer brought", front, with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }),
			"all-back", "LF", "back on: bracket, caliper"},
		{"a caliper that the customer brought before the vehicle came", front, does(with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }), moved("LF removed caliper", "opened")),
			"stands", "vehicle", "2 stands: sills"},
		{"a rear caliper that the customer brought before service mode", rearElectric, does(with("RR removed caliper", func(r *journal.Removal) { r.Supplied = true }), moved("RR removed caliper", "raised")),
			"parking-brake", "vehicle", "parking brake: electric; in service mode and out again"},
		{"that the customer brought it, written down when it was back on", front, does(with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }), moved("LF removed caliper", "RF full")),
			"all-back", "LF", "back on: bracket, caliper"},
		{"that the customer brought it, written down last of all", front, does(with("LF removed caliper", func(r *journal.Removal) { r.Supplied = true }), moved("LF removed caliper", "second")),
			"road", "vehicle", "driven 6 km: straight"},
	}
}

func honestBolts() []jobCase {
	got := func(name string, change func(*journal.Torque)) func(*story) { return with(name, change) }
	return []jobCase{
		{"the manual prints one number", front, does(first(spec("one", journal.TorqueSpec{Joint: "bracket bolts", Nominal: nm(105)})), by("LF bracket bolt", "one", "105 N.m")),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is set to the printed figure, 105 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 100.8 N·m to 109.2 N·m) (maker's manual, 4-17)"},
		{"torque and angle", front, does(first(spec("angle", journal.TorqueSpec{Joint: "bracket bolts", Nominal: nm(60), Angle: 90})), by("LF bracket bolt", "angle", "60 N.m"),
			got("LF bracket bolt", func(t *journal.Torque) { t.Turned, t.TurnedBy = 90, journal.AngleGauge })),
			"bracket-torque", "LF", "bracket bolt: 60 N.m is set to the printed figure, 60 N.m (no tolerance is printed: by convention within the tool’s own ±4 %, 57.6 N·m to 62.4 N·m), then turned a further 90°, as the 90° printed (by convention within 5°) (maker's manual, 4-17)"},
		{"an angle from snug", front, does(first(spec("snug", journal.TorqueSpec{Joint: "bracket bolts", Angle: 60})),
			got("LF bracket bolt", func(t *journal.Torque) { t.Spec, t.Torque, t.Tool, t.Turned = "snug", unit.Torque{}, "", 60 })),
			"bracket-torque", "LF", "bracket bolt: turned a further 60°, as the 60° printed (by convention within 5°) (maker's manual, 4-17)"},
		{"a number with its tolerance", front, does(first(spec("plus", journal.TorqueSpec{Joint: "bracket bolts", Nominal: nm(105), Tolerance: nm(10)})), by("LF bracket bolt", "plus", "110 N.m")),
			"bracket-torque", "LF", "bracket bolt: 110 N.m is inside 95.0 N·m to 115.0 N·m with the tool’s ±4 % to either side, 105.6 N·m to 114.4 N·m (maker's manual, 4-17)"},
		{"the manual’s general tolerance", front, does(first(spec("general", journal.TorqueSpec{Joint: "bracket bolts", Nominal: nm(105), General: q[unit.Ratio]("10 %")})), by("LF bracket bolt", "general", "100 N.m")),
			"bracket-torque", "LF", "bracket bolt: 100 N.m is inside 94.5 N·m to 115.5 N·m with the tool’s ±4 % to either side, 96.0 N·m to 104.0 N·m (maker's manual, 4-17)"},
		{"each bolt for itself", front, does(got("LF bracket bolt", func(t *journal.Torque) { t.Count, t.Bolt = 1, "upper" }),
			again("LF bracket bolt", "LF bracket bolt", func(t *journal.Torque) { t.Count, t.Bolt = 1, "lower" })),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is inside 98.0 N·m to 112.0 N·m with the tool’s ±4 % to either side, 100.8 N·m to 109.2 N·m (maker's manual, 4-17)"},
		{"threads oiled as the figure asks", front, does(first(spec("oiled", journal.TorqueSpec{Joint: "bracket bolts", Low: nm(80), High: nm(90), Thread: journal.ThreadOiled})), by("LF bracket bolt", "oiled", "85 N.m"),
			got("LF bracket bolt", func(t *journal.Torque) { t.Thread = journal.ThreadOiled })),
			"bracket-torque", "LF", "bracket bolt: 85 N.m is inside 80.0 N·m to 90.0 N·m with the tool’s ±4 % to either side, 81.6 N·m to 88.4 N·m (maker's manual, 4-17)"},
		{"an offset end at a right angle", front, got("LF bracket bolt", func(t *journal.Torque) {
			t.Adapter = &journal.Adapter{Wrench: q[unit.Length]("400 mm"), Offset: q[unit.Length]("60 mm"), Angle: 90}
		}),
			"bracket-torque", "LF", "bracket bolt: 105 N.m at the tool is 105.0 N·m at the bolt and is inside 98.0 N·m to 112.0 N·m with the tool’s ±4 % to either side, 100.8 N·m to 109.2 N·m (maker's manual, 4-17)"},
		{"figures in foot-pounds", front, does(first(spec("feet", journal.TorqueSpec{Joint: "bracket bolts", Low: q[unit.Torque]("72 lbf.ft"), High: q[unit.Torque]("83 lbf.ft")})), by("LF bracket bolt", "feet", "77 lbf.ft")),
			"bracket-torque", "LF", "bracket bolt: 77 lbf.ft (104.4 N·m) is inside 97.6 N·m to 112.5 N·m (printed 72 lbf.ft to 83 lbf.ft) with the tool’s ±4 % to either side, 100.2 N·m to 108.6 N·m (maker's manual, 4-17)"},
		{"a bolt that was too tight, loosened and tightened again", front, does(torqued("LF banjo bolt", func(t *journal.Torque) { t.Torque = nm(29) }),
			again("LF banjo bolt", "LF banjo bolt", func(t *journal.Torque) { t.Torque = nm(22) })),
			"banjo-torque", "LF", "banjo bolt: 22 N.m is inside 20.0 N·m to 24.0 N·m with the tool’s ±4 % to either side, 21.1 N·m to 22.9 N·m (maker's manual, 4-17)"},
		{"four wheel nuts, crosswise", front, with("LF full", func(w *journal.WheelFit) { w.Nuts, w.Pattern = 4, journal.CrossPattern }),
			"wheel", "LF", "4 nuts at 120 N.m on the ground, cross pattern; snug at 50 N.m in the air first; wheel nuts: 120 N.m is inside 110.0 N·m to 130.0 N·m with the tool’s ±4 % to either side, 115.2 N·m to 124.8 N·m (maker's manual, 4-17)"},
		{"a slip of the finger, corrected", front, does(torqued("LF banjo bolt", func(t *journal.Torque) { t.Torque = nm(220) }), func(s *story) {
			s.after("LF bag empty", linked("corrected", bench1, s.on("LF", ""), "mk", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Correction{Of: ids["LF banjo bolt"], Reason: "slipped", Data: []byte(`{"joint":"banjo bolt","torque":"22 N.m","tool":"tw-2","spec":"banjo","count":1,"marked":true}`)}
			}))
		}),
			"banjo-torque", "LF", "banjo bolt: 22 N.m is inside 20.0 N·m to 24.0 N·m with the tool’s ±4 % to either side, 21.1 N·m to 22.9 N·m (maker's manual, 4-17)"},
	}
}
