package invented

import "fettlebook/journal"

// MakeUp is what a part of an invented vehicle has: a floating caliper of one
// piston, or the bracket that it slides on, which carries no boots.
func MakeUp(part journal.PartID) *journal.MakeUp {
	if part == "caliper" {
		return &journal.MakeUp{
			Bores:    []journal.Item{{What: "piston bore", Count: 1}, {What: "guide pin bolt hole", Count: 2}},
			Threads:  []journal.Item{{What: "bleeder thread", Count: 1}, {What: "banjo thread", Count: 1}},
			Seats:    []journal.Item{{What: "bleeder seat", Count: 1}, {What: "banjo face", Count: 1}},
			Lands:    []journal.Item{{What: "pad land", Count: 2}},
			Rubber:   []journal.Item{{What: "square-section seal", Count: 1}, {What: "dust boot", Count: 1}},
			Bleeders: 1,
			Line:     journal.ByBanjo,
			Joints:   []journal.Bolting{{Joint: "banjo bolt", Bolts: 1}, {Joint: "guide pin bolts", Bolts: 2}},
			Parking:  journal.NoParkingBrake,
		}
	}
	return &journal.MakeUp{
		Threads: []journal.Item{{What: "mounting thread", Count: 2}},
		Seats:   []journal.Item{{What: "mating face", Count: 1}, {What: "bolt seat", Count: 2}},
		Lands:   []journal.Item{{What: "pad abutment", Count: 4}},
		Line:    journal.NoLine,
		Joints:  []journal.Bolting{{Joint: "bracket bolts", Bolts: 2, SingleUse: true}},
		Parking: journal.NoParkingBrake,
	}
}

// Masked is what is covered of a part while powder goes on: a plug in every bore
// and thread, and tape on what stays bare.
func Masked(part journal.PartID) *journal.Masking {
	has := MakeUp(part)
	return &journal.Masking{Features: has.Covered(), Plugs: counted(has.Plugged())}
}

// Unmasked is what comes out of a part after the bake.
func Unmasked(part journal.PartID) *journal.Unmasking {
	out := MakeUp(part).Plugged()
	return &journal.Unmasking{Features: out, Plugs: counted(out)}
}

func counted(list []journal.Item) (n int) {
	for _, i := range list {
		n += i.Count
	}
	return n
}
