package route_test

import "fettlebook/journal"

func honestArms() []jobCase {
	return []jobCase{
		{"an arm", oneArm, nil,
			"bush-torque", "RF", "bush bolt: 90 N.m is inside 80.0 N·m to 100.0 N·m with the tool’s ±4 % to either side, 86.4 N·m to 93.6 N·m (maker's manual, 4-17)"},
		{"an arm, checked by another person", oneArm, nil,
			"second-person", "vehicle", "JR checked the road test by IO: in order"},
		{"an arm, driven with brakes that nobody worked on", oneArm, nil,
			"road", "vehicle", "driven 6 km: straight"},
		{"an arm, on a lift", oneArm, with("raised", func(r *journal.Raising) { r.Stands, r.Lift = 0, true }),
			"stands", "vehicle", "on a lift: sills"},
		{"an arm, wet with solvent and dry before the soak", oneArm, does(wipedArm, with("soak", func(d *journal.Soaking) { d.Dry = true })),
			"no-chlorine", "RF arm", "degreased with spirit"},
		{"an arm, washed without chlorine after a chlorinated cleaner", oneArm, does(with("wash", func(d *journal.Degreasing) { d.Chlorinated = true }), again("wash", "blast", func(d *journal.Degreasing) { d.Chlorinated = false })),
			"no-chlorine", "RF arm", "degreased with alkaline bath"},
	}
}

// wipedArm has the arm wiped with solvent just before the soak.
func wipedArm(s *story) {
	again("wash", "mask RF arm", func(d *journal.Degreasing) { d.Agent, d.Left = "spirit", journal.WetWithSolvent })(s)
}

func wrongArms() []jobCase {
	return []jobCase{
		{"an arm that nobody else looked at", oneArm, without("second"),
			"second-person", "vehicle", "no second person has looked yet"},
		{"an arm, and a look at one's own work", oneArm, func(s *story) { s.steps[s.index("road")].by = "jr" },
			"second-person", "vehicle", "JR looked at work of their own; no second person has looked yet"},
		{"an arm, found wrong", oneArm, with("second", func(c *journal.SecondCheck) { c.Finds = journal.FoundWrong }),
			"second-person", "vehicle", "JR found it wrong; no second person has looked yet"},
		{"an arm, looked at by somebody who is not authorised", oneArm, func(s *story) { s.steps[s.index("second")].by = "mk" },
			"second-person", "vehicle", "MK is not authorised for second checks; no second person has looked yet"},
		{"an arm, looked at before the last torque", oneArm, moved("RF bush bolt", "second"),
			"second-person", "vehicle", "work came after the second check; no second person has looked yet"},
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
		{"an arm on one stand", oneArm, with("raised", func(r *journal.Raising) { r.Stands = 1 }),
			"stands", "vehicle", "1 stand: sills"},
		{"an arm that came off before the stands", oneArm, moved("raised", "RF removed arm"),
			"stands", "vehicle", "2 stands: sills; a part came off before that"},
		{"an arm, chlorinated before the oven", oneArm, with("wash", func(d *journal.Degreasing) { d.Chlorinated = true }),
			"no-chlorine", "RF arm", "degreased with alkaline bath; the part went into heat after a chlorinated degreaser"},
		{"an arm, wet with solvent into the oven", oneArm, wipedArm,
			"no-chlorine", "RF arm", "degreased with spirit; the part went into heat while it was wet with solvent"},
		{"a damaged seat of an arm that nobody decided about", oneArm, then("blast", func(s *story) step {
			return plain("damaged", bench1, s.on("RF", "arm"), "mk", journal.Condition{Condition: journal.DamagedSeat, Where: "the rear bush"})
		}),
			"defects", "RF arm", "no defect of the coat was written down; nobody has decided yet about the damaged seat at the rear bush"},
	}
}
