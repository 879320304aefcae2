package journaltest

import "fettlebook/journal"

// shopSamples are of what the coating shop writes down beside its work.
func shopSamples() []sample {
	return []sample{
		{onJob(),
			&journal.ColourApproval{Sample: "panel 3", Code: "slate blue 0412", Gloss: "satin", Texture: "smooth", Lot: Lot, Evidence: seen("the panel in daylight", "chosen beside the wheel")},
			&journal.ColourApproval{Sample: "panel 3"}},
	}
}
