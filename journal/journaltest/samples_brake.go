package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func brakeSamples() []sample {
	const bracket, full = "caliper bracket to knuckle", "full, wheel on the ground"
	return []sample{
		{onPart(),
			&journal.Rebuild{NewParts: []journal.Item{{What: "square seal", Count: 1}, {What: "dust boot", Count: 1}}, Lubricant: "brake assembly paste", Kits: []journal.KitID{"ks-7"}, Fitted: []journal.Fitted{{What: "bleeder screw", Maker: "Hollow Pin", Number: "B-10", Supplier: "the parts counter", Batch: "2611"}}, Evidence: seen("the piston going in", "slides by hand")},
			&journal.Rebuild{}},
		{onPart(),
			&journal.SeatProof{Seats: []string{"bolt seats", "banjo face", "pad lands"}, Shown: []journal.Item{{What: "bolt seat", Count: 2}, {What: "banjo face", Count: 1}}, State: "bare", Evidence: seen("the bare seats", "film cut with a spot face")},
			&journal.SeatProof{Shown: []journal.Item{{What: "bolt seat", Count: 2}}, State: "bare"}},
		{onPart(),
			&journal.Refitting{Bleeder: "up", Evidence: seen("the fitted caliper", "hose not twisted")},
			&journal.Refitting{}},
		{onCorner(),
			&journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper", Size: "10 mm", Kit: "cw-3", Evidence: seen("the new washers", "old ones thrown away")},
			&journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper"}},
		{onCorner(),
			&journal.LineOpening{At: "banjo bolt", Joins: "banjo with washers", Evidence: seen("the plugged hose", "line pinched off")},
			&journal.LineOpening{At: "banjo bolt"}},
		{onCorner(),
			&journal.LineConnection{At: "banjo bolt", Evidence: seen("the banjo bolt", "hose free at full lock")},
			&journal.LineConnection{At: "banjo bolt"}},
		{onCorner(),
			&journal.Torque{
				Joint: bracket, Torque: q[unit.Torque]("80 lbf.ft"), Tool: Wrench, Spec: "front-bracket",
				Adapter: &journal.Adapter{Wrench: q[unit.Length]("380 mm"), Offset: q[unit.Length]("50 mm"), Angle: 90},
				Count:   1, Pattern: "in turn", Marked: true, Turned: 90, TurnedBy: "angle gauge", Bolt: "upper", NewBolts: true, Thread: "clean and dry",
				Evidence: seen("the marked bolts", "threads clean and dry"),
			},
			&journal.Torque{Joint: "banjo bolt", Torque: q[unit.Torque]("27 N.m"), Tool: Wrench}},
		{onJob(),
			&journal.Reservoir{Before: q[unit.Ratio]("70 %"), After: q[unit.Ratio]("95 %"), Added: q[unit.Volume]("40 mL"), Fluid: "bf-31", RanDry: true, Span: q[unit.Volume]("160 mL"), Evidence: seen("the level", "cap back on")},
			&journal.Reservoir{Before: q[unit.Ratio]("70 %"), After: q[unit.Ratio]("70 %")}},
		{onCorner(),
			&journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("120 mL"), Bubbles: "none", Screw: q[unit.Torque]("8 N.m"), Tool: Wrench, ByHand: true, Whole: true, Screws: 1, Which: "inner", Evidence: seen("the clear hose", "pumped slowly")},
			&journal.Bleed{Fluid: "bf-31", Drawn: q[unit.Volume]("120 mL"), Bubbles: "none"}},
		{onJob(),
			&journal.ParkingBrake{State: "service mode on", Battery: q[unit.Voltage]("12.6 V"), LampOff: true, Evidence: seen("the dashboard", "charger connected")},
			&journal.ParkingBrake{State: "service mode on"}},
		{onCorner(),
			&journal.LeakCheck{Held: q[unit.Duration]("2 min"), Result: "dry", Evidence: seen("the dry banjo", "helper on the pedal")},
			&journal.LeakCheck{Held: q[unit.Duration]("2 min"), Result: "dry"}},
		{onJob(),
			&journal.PedalCheck{Feel: "firm", Evidence: seen("the pedal", "engine running")},
			&journal.PedalCheck{Feel: "firm"}},
		{onCorner(),
			&journal.WheelFit{Step: full, Nuts: 5, Pattern: "star", Torque: q[unit.Torque]("110 N.m"), Tool: Wrench, Spec: "wheel", Evidence: seen("the wheel", "seats wiped clean")},
			&journal.WheelFit{Step: full, Nuts: 5, Pattern: "star", Torque: q[unit.Torque]("110 N.m"), Tool: Wrench}},
		{onJob(),
			&journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "stops straight, no noise", Evidence: seen("the odometer", "ten gentle stops")},
			&journal.RoadTest{Distance: q[unit.Distance]("6 km"), Result: "stops straight, no noise"}},
		{onJob(),
			&journal.Release{Odometer: q[unit.Distance]("84216 km"), Told: []string{"wheel nuts again after 50 km", "pads need bedding in"}, Advised: []journal.Advice{journal.FilmCare, journal.FirstDays}, Sheet: "care sheet 3", ConfirmedBy: journal.ByPIN, Evidence: seen("the keys", "receipt handed over")},
			&journal.Release{}},
		{onJob(),
			&journal.Seal{Root: digest("the record"), Entries: 57, Covers: []journal.Stretch{{Log: "t3fz8c1n", First: 3, Entries: 41}, {Log: "hub00001", First: 12, Entries: 1}, {Log: "t3fz8c1n", First: 44, Entries: 15}}, Evidence: seen("the receipt", "sealed at handover")},
			&journal.Seal{Root: digest("the record"), Entries: 57}},
	}
}
