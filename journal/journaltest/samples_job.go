package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func jobSamples() []sample {
	return []sample{
		{onJob(),
			&journal.Job{
				// All ones is the number that the check digit is usually explained with.
				Vehicle:  journal.Vehicle{VIN: "11111111111111111", Plate: "FB 204", Looks: "moss-green estate"},
				Odometer: q[unit.Distance]("84210 km"), Customer: &journal.Citation{Card: "c7w1m3e9", Commitment: digest("a card")},
				Corners: []journal.Corner{"LF", "RF"}, Wish: "both front calipers in slate blue", Terms: digest("the terms"),
				Ready: "2026-03-06", Warranty: &journal.Warranty{Months: 24, Distance: q[unit.Distance]("20000 km"), Words: "on film and refitting", Terms: digest("the warranty")},
				Excludes: []string{"Was it driven on a track?", "Was a wheel cleaner with acid used?"}, Claim: entryID(cited),
				Route: "calipers", Edition: 3, Evidence: seen("the car at the counter", "fetched on Friday"),
			},
			&journal.Job{Vehicle: journal.Vehicle{Plate: "FB 204"}}},
		{onJob(),
			&journal.Arrival{Odometer: q[unit.Distance]("84210 km"), Found: []string{"dust boot torn, right front"}, Agreed: true, Evidence: seen("the torn boot", "shown to the customer")},
			&journal.Arrival{Agreed: false}},
		{onJob(),
			&journal.Raising{Points: "front jacking points", Stands: 2, Lift: true, Evidence: seen("the stands", "rocked, sits firm")},
			&journal.Raising{Points: "front jacking points", Stands: 2}},
		{onPart(),
			&journal.Removal{Condition: "old paint flaking, no leak", Supplied: true, Evidence: seen("the caliper as it came off", "hose plugged")},
			&journal.Removal{}},
		{onPart(),
			&journal.Tagging{Tag: "14", Mark: "57-2L", Metal: "iron", Number: "0117", Pattern: "57-2L", Evidence: seen("the tag and the number", "wire tag on the bridge")},
			&journal.Tagging{Tag: "14", Metal: "iron"}},
		{onCorner(),
			&journal.Bagging{Bag: "LF-1", Items: []journal.Item{{What: "slide pins", Count: 2}, {What: "bracket bolts", Count: 2}}, Evidence: seen("the bag", "one pin is the longer one")},
			&journal.Bagging{Bag: "LF-1", Items: []journal.Item{{What: "slide pins", Count: 2}}}},
		{onPart(),
			&journal.Stripping{Removed: []string{"piston", "square seal", "dust boot", "bleeder"}, Rubber: "none left in", Out: []journal.Item{{What: "square-section seal", Count: 1}, {What: "dust boot", Count: 1}}, Evidence: seen("the bare bore", "bore is smooth")},
			&journal.Stripping{Removed: []string{"piston", "square seal", "dust boot", "bleeder"}, Rubber: "none left in"}},
		{onRun(),
			&journal.Degreasing{Rack: journal.Rack{Parts: calipers()}, Agent: "alkaline bath, 60 °C", Chlorinated: true, Left: "wet with water", Evidence: seen("the bath", "rinsed twice")},
			&journal.Degreasing{Agent: "alkaline bath, 60 °C", Chlorinated: false}},
	}
}
