package route_test

import (
	"testing"

	"fettlebook/journal"
)

// Jobs that must not go through: the vehicle is not handed back.
func TestWrongJobs(t *testing.T) {
	cases := append(wrongParts(), wrongJoints()...)
	cases = append(cases, wrongBrakes()...)
	cases = append(cases, wrongParking()...)
	cases = append(cases, wrongUncoated()...)
	cases = append(cases, wrongReplaced()...)
	cases = append(cases, wrongArms()...)
	if len(cases) < 40 {
		t.Errorf("only %d wrong jobs", len(cases))
	}
	playCases(t, cases, func(jobCase) end { return refused })
}

// hanging names one thing that stands for nothing.
func hanging() []journal.Item { return []journal.Item{{What: "hanging hole", Count: 1}} }

func wrongParts() []jobCase {
	return []jobCase{
		{"masked: hanging hole", front, with("mask LF caliper", func(m *journal.Masking) { m.Features = hanging() }),
			"masked", "LF caliper", "1 bore, thread or seat masked; powder went on while the piston bore was not masked; powder went on while the 2 guide pin bolt holes were not masked; powder went on while the bleeder thread was not masked; powder went on while the banjo thread was not masked; powder went on while the bleeder seat was not masked; powder went on while the banjo face was not masked; powder went on while the 2 pad lands were not masked"},
		{"one guide pin bolt hole not masked", front, with("mask LF caliper", func(m *journal.Masking) { m.Features[1].Count = 1 }),
			"masked", "LF caliper", "8 bores, threads and seats masked; powder went on while 1 of 2 guide pin bolt holes was not masked"},
		{"masked after the powder", front, moved("mask LF caliper", "powder"),
			"masked", "LF caliper", "9 bores, threads and seats masked; powder went on while nothing was masked"},
		{"masked on the other side", front, func(s *story) { s.steps[s.index("mask LF caliper")].about = s.on("RF", "caliper") },
			"masked", "LF caliper", "powder went on while nothing was masked"},
		{"plugs out before the powder", front, moved("unmask LF caliper", "soak"),
			"masked", "LF caliper", "9 bores, threads and seats masked; powder went on while nothing was masked"},
		{"seats bare: hanging hole", front, with("LF seats caliper", func(p *journal.SeatProof) { p.Shown = hanging() }),
			"seats-bare", "LF caliper", "hanging hole bare; the part was back on before the bleeder seat was shown bare; the part was back on before the banjo face was shown bare; the part was back on before the 2 pad lands were shown bare"},
		{"film left on a seat", front, with("LF seats bracket", func(p *journal.SeatProof) { p.State = journal.FilmLeft }),
			"seats-bare", "LF bracket", "film is left on bolt seat; film is left on mating face; film is left on pad abutment; the part was back on before the mating face was shown bare; the part was back on before the 2 bolt seats were shown bare; the part was back on before the 4 pad abutments were shown bare"},
		{"seats shown when the part was back on", front, moved("LF seats bracket", "LF refitted bracket"),
			"seats-bare", "LF bracket", "bolt seat bare; mating face bare; pad abutment bare; the part was back on before the mating face was shown bare; the part was back on before the 2 bolt seats were shown bare; the part was back on before the 4 pad abutments were shown bare; the part was back on before its seats were looked at"},
		{"seats shown before the powder", front, moved("LF seats bracket", "blast"),
			"seats-bare", "LF bracket", "the part went into powder or heat after its seats were shown bare; no seat has been shown bare yet"},
		{"new: one dust boot", front, with("LF rebuilt caliper", func(r *journal.Rebuild) { r.NewParts = []journal.Item{{What: "dust boot", Count: 1}} }),
			"rebuilt", "LF caliper", "new: 1 × dust boot; the part was back on before the square-section seal was new"},
		{"new: one dust cap", front, with("LF rebuilt caliper", func(r *journal.Rebuild) { r.NewParts = []journal.Item{{What: "dust cap", Count: 1}} }),
			"rebuilt", "LF caliper", "new: 1 × dust cap; the part was back on before the square-section seal was new; the part was back on before the dust boot was new"},
		{"rebuilt before the bake", front, moved("LF rebuilt caliper", "soak"),
			"rebuilt", "LF caliper", "the part went into heat after it was rebuilt"},
		{"three plugs in and none out", oneArm, func(s *story) {
			edit(s, "mask RF arm", func(m *journal.Masking) { m.Plugs = 3 })
			s.drop("unmask RF arm")
		},
			"plugs-out", "RF arm", "3 plugs are in and not counted out yet"},
		{"one plug fewer out than in", front, with("unmask RF bracket", func(u *journal.Unmasking) { u.Plugs-- }),
			"plugs-out", "RF bracket", "4 plugs in, 3 counted out"},
		{"plugs counted out when the part was back on", front, moved("unmask LF caliper", "LF refitted caliper"),
			"plugs-out", "LF caliper", "5 plugs in, 5 counted out; the part was back on before the piston bore was counted out; the part was back on before the 2 guide pin bolt holes were counted out; the part was back on before the bleeder thread was counted out; the part was back on before the banjo thread was counted out"},
		{"the pin boots of a bracket in the oven", front, without("LF stripped bracket"),
			"rubber-out", "LF bracket", "the part went into heat with rubber in it, or before anyone wrote that it was out; nobody has written yet that all the rubber is out"},
		{"the square-section seal left in", front, with("LF stripped caliper", func(p *journal.Stripping) { p.Out = p.Out[1:] }),
			"rubber-out", "LF caliper", "the part went into heat before the square-section seal was counted out"},
		{"the rubber out after the soak", front, moved("LF stripped caliper", "soak"),
			"rubber-out", "LF caliper", "the part went into heat with rubber in it, or before anyone wrote that it was out"},
		{"a caliper on the wrong side", front, with("LF refitted caliper", func(r *journal.Refitting) { r.Bleeder = journal.BleederDown }),
			"bleeder-up", "LF caliper", "back on, bleeder screw down"},
		{"a bracket left on the bench", front, without("LF refitted bracket"),
			"all-back", "LF", "the bracket is not back on"},
		{"a cracked ear that nobody decided about", front, then("LF described caliper", foundCracked("")),
			"sound", "LF caliper", "nobody has decided yet about the cracked ear at upper ear"},
		{"a casting that was refused goes back on", front, then("LF described caliper", foundCracked(journal.RefuseRefit)),
			"sound", "LF caliper", "cracked ear at upper ear: refuse to refit, and the part is back on"},
		{"an arm with a crack, refused, goes back on", oneArm, then("RF described arm", func(s *story) step {
			return plain("crack", bench1, s.on("RF", "arm"), "mk", journal.Condition{Condition: journal.Cracked, Where: "weld", Decision: journal.RefuseRefit})
		}),
			"sound", "RF arm", "crack at weld: refuse to refit, and the part is back on"},
		{"the mask hidden by a second powder", front, does(twoCoats, again("unmask LF caliper", "cured", asIs[journal.Unmasking])),
			"masked", "LF caliper", "9 bores, threads and seats masked; powder went on while nothing was masked"},
	}
}

// foundCracked is what was found at the left caliper, with what was decided.
func foundCracked(decided journal.ConditionDecision) func(*story) step {
	return func(s *story) step {
		return plain("crack", bench1, s.on("LF", "caliper"), "mk", journal.Condition{Condition: journal.CrackedEar, Where: "upper ear", Decision: decided})
	}
}

func wrongJoints() []jobCase {
	return []jobCase{
		{"one guide pin bolt of two", front, torqued("LF guide pin bolt", func(t *journal.Torque) { t.Count = 1 }),
			"caliper-torque", "LF", "guide pin bolt: 30 N.m is inside 27.0 N·m to 33.0 N·m with the tool’s ±4 % to either side, 28.8 N·m to 31.2 N·m (maker's manual, 4-17); 1 of 2 bolts of the guide pin bolt tightened"},
		{"the same bolt twice", front, does(torqued("LF bracket bolt", func(t *journal.Torque) { t.Count, t.Bolt = 1, "upper" }),
			again("LF bracket bolt", "LF bracket bolt", func(t *journal.Torque) { t.Bolt = "Upper" })),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is inside 98.0 N·m to 112.0 N·m with the tool’s ±4 % to either side, 100.8 N·m to 109.2 N·m (maker's manual, 4-17); 1 of 2 bolts of the bracket bolt tightened"},
		{"a banjo bolt too tight", front, torqued("LF banjo bolt", func(t *journal.Torque) { t.Torque = nm(29) }),
			"banjo-torque", "LF", "banjo bolt: 29 N.m is outside 20.0 N·m to 24.0 N·m (maker's manual, 4-17)"},
		{"the figure of another joint", front, torqued("LF bracket bolt", func(t *journal.Torque) { t.Spec, t.Torque = "mount", nm(90) }),
			"bracket-torque", "LF", "bracket bolt: 90 N.m is not proven: the figure mount is for another joint, mounting bolts"},
		{"no figure", front, torqued("LF bracket bolt", func(t *journal.Torque) { t.Spec = "" }),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is not proven: there is no specification for the joint: record the figure and where it is printed"},
		{"a wrench that nobody registered", front, torqued("LF bracket bolt", func(t *journal.Torque) { t.Tool = "tw-9" }),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is not proven: the tool’s tolerance is not recorded: write the one on its certificate, or its class; the tool’s range is not recorded: write its lowest and highest marked values; the tool was never found good in a calibration: have it calibrated before it is used again; the plain reading is inside 98.0 N·m to 112.0 N·m (maker's manual, 4-17)"},
		{"a wrench that was never checked", front, does(wrench("tw-7", ""), torqued("LF bracket bolt", func(t *journal.Torque) { t.Tool = "tw-7" })),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is not proven: the tool was never found good in a calibration: have it calibrated before it is used again; the plain reading is inside 98.0 N·m to 112.0 N·m (maker's manual, 4-17)"},
		{"a wrench out of calibration", front, does(wrench("tw-8", "2026-03-01"), torqued("LF bracket bolt", func(t *journal.Torque) { t.Tool = "tw-8" })),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is not proven: the tool’s calibration ran out on 1 March 2026; the plain reading is inside 98.0 N·m to 112.0 N·m (maker's manual, 4-17)"},
		{"a wrench found out of tolerance later", front, does(wrench("tw-6", "2027-09-30"), torqued("LF bracket bolt", func(t *journal.Torque) { t.Tool = "tw-6" }), then("second", func(*story) step {
			return plain("found", office, "tool/tw-6", "io", journal.ToolCheck{Tool: "tw-6", Result: journal.OutOfTolerance})
		})),
			"bracket-torque", "LF", "bracket bolt: 105 N.m is not proven: a later check found the tool tw-6 out of tolerance"},
		{"the angle left out", front, does(first(spec("further", journal.TorqueSpec{Joint: "bracket bolts", Nominal: nm(60), Angle: 90})), by("LF bracket bolt", "further", "60 N.m")),
			"bracket-torque", "LF", "bracket bolt: 60 N.m is not proven: the figure asks for a further 90°, and no angle is on record (maker's manual, 4-17)"},
		{"threads dry where the figure is for oiled", front, does(first(spec("wet", journal.TorqueSpec{Joint: "bracket bolts", Low: nm(80), High: nm(90), Thread: journal.ThreadOiled})), by("LF bracket bolt", "wet", "85 N.m"),
			torqued("LF bracket bolt", func(t *journal.Torque) { t.Thread = journal.ThreadDry })),
			"bracket-torque", "LF", "bracket bolt: 85 N.m is not proven: the figure holds for threads oiled, and they are clean and dry"},
		{"tight before the bracket was back", front, moved("LF bracket bolt", "LF bag"),
			"bracket-torque", "LF", "the part was put on after the joint was tightened"},
		{"a caliper's bolts tight before its bracket came off", oneBracket, func(s *story) { s.move("RF guide pin bolt", "raised") },
			"caliper-torque", "RF", "the part was put on after the joint was tightened"},
		{"a bracket alone, the caliper's bolts forgotten", oneBracket, without("RF guide pin bolt"),
			"caliper-torque", "RF", "the guide pin bolt is not tightened yet"},
		{"a bush bolt of an arm forgotten", oneArm, torqued("RF bush bolt", func(t *journal.Torque) { t.Count = 1 }),
			"bush-torque", "RF", "bush bolt: 90 N.m is inside 80.0 N·m to 100.0 N·m with the tool’s ±4 % to either side, 86.4 N·m to 93.6 N·m (maker's manual, 4-17); 1 of 2 bolts of the bush bolt tightened"},
		{"one washer", front, with("LF washers", func(w *journal.Washers) { w.Count = 1 }),
			"washers", "LF", "1 new copper washer at the banjo bolt"},
		{"washers at another joint", front, with("LF washers", func(w *journal.Washers) { w.Joint = "drain plug" }),
			"washers", "LF", "2 new copper washers at the drain plug"},
		{"washers from before the line was opened", front, moved("LF washers", "LF bag"),
			"washers", "LF", "the line was opened after the washers went in"},
		{"a line left open", front, without("LF connected"),
			"line-closed", "LF", "open: hose at caliper"},
		{"a flare nut not tightened", flareFront, without("LF flare nut"),
			"flare-torque", "LF", "the flare nut is not tightened yet"},
		{"wheel nuts at 60 N·m", front, with("LF full", func(w *journal.WheelFit) { w.Torque = nm(60) }),
			"wheel", "LF", "5 nuts at 60 N.m on the ground, star pattern; snug at 50 N.m in the air first; wheel nuts: 60 N.m is outside 110.0 N·m to 130.0 N·m (maker's manual, 4-17)"},
		{"wheel nuts one after the other", front, with("LF full", func(w *journal.WheelFit) { w.Pattern = journal.InTurn }),
			"wheel", "LF", "5 nuts at 120 N.m on the ground, in turn pattern; snug at 50 N.m in the air first; wheel nuts: 120 N.m is inside 110.0 N·m to 130.0 N·m with the tool’s ±4 % to either side, 115.2 N·m to 124.8 N·m (maker's manual, 4-17)"},
		{"wheel nuts in one step", front, without("LF snug"),
			"wheel", "LF", "5 nuts at 120 N.m on the ground, star pattern; nobody has written that they were snug in the air first; wheel nuts: 120 N.m is inside 110.0 N·m to 130.0 N·m with the tool’s ±4 % to either side, 115.2 N·m to 124.8 N·m (maker's manual, 4-17)"},
		{"one wheel forgotten", front, without("LF snug", "LF full"),
			"wheel", "LF", "the wheel has not been fully tightened on the ground yet"},
		{"an arm, and no wheel", oneArm, without("RF snug", "RF full"),
			"wheel", "RF", "the wheel has not been fully tightened on the ground yet"},
		{"work behind a wheel that is on", front, moved("LF banjo bolt", "RF full"),
			"road", "vehicle", "driven 6 km: straight; driven before the joints were held under pressure and the pedal was tried"},
	}
}
