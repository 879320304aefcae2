package journaltest

import "fettlebook/journal"

// lastSamples are of kinds that came after taking over.
func lastSamples() []sample {
	return []sample{
		{onJob(),
			&journal.Manual{Fluid: "DOT 4", Order: []journal.Corner{"RR", "LF", "LR", "RF"}, Parking: "electric", From: "manual", Page: "BR-12", Evidence: seen("the cap", "cap and manual agree")},
			&journal.Manual{Fluid: "DOT 4", From: "reservoir cap"}},
		{onJob(),
			&journal.ParkingTrial{How: "on a slope", Holds: true, Evidence: seen("the car on the ramp", "both directions")},
			&journal.ParkingTrial{How: "on a slope", Holds: false}},
	}
}
