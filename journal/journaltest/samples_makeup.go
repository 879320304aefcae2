package journaltest

import "fettlebook/journal"

func makeUpSamples() []sample {
	return []sample{
		{onPart(),
			&journal.MakeUp{
				Preset:   "floating caliper, one piston",
				Bores:    []journal.Item{{What: "piston bore", Count: 1}, {What: "guide pin bolt hole", Count: 2}},
				Threads:  []journal.Item{{What: "bleeder thread", Count: 1}, {What: "banjo thread", Count: 1}},
				Seats:    []journal.Item{{What: "bleeder seat", Count: 1}, {What: "banjo face", Count: 1}},
				Lands:    []journal.Item{{What: "pad land", Count: 2}},
				Rubber:   []journal.Item{{What: "square-section seal", Count: 1}, {What: "dust boot", Count: 1}},
				Bleeders: 1, Line: journal.ByBanjo,
				Joints:   []journal.Bolting{{Joint: "banjo bolt", Bolts: 1, SingleUse: true}, {Joint: "guide pin bolts", Bolts: 2, SingleUse: true}},
				Parking:  journal.ElectricParking,
				Uncoated: true, CameBare: true,
				Evidence: seen("the bare caliper from all sides", "the second thread by the ear is blind"),
			},
			&journal.MakeUp{Bleeders: 0, Line: journal.NoLine, Parking: journal.NoParkingBrake}},
	}
}
