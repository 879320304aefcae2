package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// shopSamples are of what the coating shop writes down beside its work.
func shopSamples() []sample {
	return []sample{
		{onJob(),
			&journal.ColourApproval{Sample: "panel 3", Code: "slate blue 0412", Gloss: "satin", Texture: "smooth", Lot: Lot, Evidence: seen("the panel in daylight", "chosen beside the wheel")},
			&journal.ColourApproval{Sample: "panel 3"}},
		{journal.Of("tool", "oven-1"),
			&journal.Service{
				Tool: "oven-1", Done: "oven surveyed", On: "2026-02-28", Due: "2027-02-28", Set: q[unit.Temperature]("200 °C"), Loaded: true,
				Places: []journal.SurveyedPlace{{Place: "by the door, low", Reads: q[unit.Temperature]("193 °C")}, {Place: "middle", Reads: q[unit.Temperature]("201 °C")}},
				Media:  "none", Evidence: seen("the probes on the rack", "after the new seal of the door"),
			},
			&journal.Service{Tool: "dryer-1", Done: "dryer serviced"}},
	}
}
