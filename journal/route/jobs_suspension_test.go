package route_test

import "fettlebook/journal"

func wrongArms() []jobCase {
	return []jobCase{
		{"an arm left on the bench", oneArm, without("RF refitted arm"),
			"all-back", "RF", "the arm is not back on"},
		{"an arm's wheel nuts at 60 N.m", oneArm, with("RF full", func(w *journal.WheelFit) { w.Torque = nm(60) }),
			"wheel", "RF", "5 nuts at 60 N.m on the ground, star pattern; snug at 50 N.m in the air first; wheel nuts: 60 N.m is outside 110.0 N·m to 130.0 N·m (maker's manual, 4-17)"},
		{"an arm's wheel with no figure", oneArm, with("RF full", func(w *journal.WheelFit) { w.Spec = "" }),
			"wheel", "RF", "5 nuts at 120 N.m on the ground, star pattern; snug at 50 N.m in the air first; wheel nuts: 120 N.m is not proven: there is no specification for the joint: record the figure and where it is printed"},
	}
}

// namedArms are jobs on an arm that go out with a word on the papers.
func namedArms() []jobCase {
	return []jobCase{
		{"a damaged seat of an arm that nobody decided about", oneArm, then("blast", func(s *story) step {
			return plain("damaged", bench1, s.on("RF", "arm"), "mk", journal.Condition{Condition: journal.DamagedSeat, Where: "the rear bush"})
		}),
			"defects", "RF arm", "no defect was written down; nobody has decided yet about the damaged seat at the rear bush"},
	}
}
