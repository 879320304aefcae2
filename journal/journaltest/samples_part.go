package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

func partSamples() []sample {
	before := journal.About("b2k7m9xq", "LF", "caliper")
	return []sample{
		{onPart(),
			&journal.CastingMatch{As: before, How: "the same repair at the upper ear", Evidence: seen("the repair, then and now", "compared with the old photograph")},
			&journal.CastingMatch{As: before, How: "the number in the metal", Evidence: journal.Evidence{Photos: []journal.Photo{{Ref: Picture("the number").Ref, Thumb: Picture("").Thumb}}}}},
		{onJob(),
			&journal.Promise{Ready: "2026-03-06", Warranty: &journal.Warranty{Months: 24, Distance: q[unit.Distance]("20000 km"), Words: "on film and refitting, not on the track", Terms: digest("the terms")}, Excludes: []string{"Was it driven on a track?"}, Reason: "a seal kit comes late", Evidence: seen("the signed sheet", "told on the telephone")},
			&journal.Promise{Ready: "2026-03-06"}},
		{journal.Of("kit", "ks-7"),
			&journal.Recall{Why: "the maker recalls batch 2604", Remedy: "replace the boots", Since: "2026-02-01", Until: "2026-03-31", Evidence: seen("the maker's letter", "came by post")},
			&journal.Recall{Why: "the maker recalls batch 2604", Remedy: "replace the boots"}},
		{onPart(),
			&journal.Investigation{Matter: "a torn boot", LookedAt: []string{"the boot", "the photographs of the rebuild"}, Found: "a cut by the ring", Concluded: "cut when it was fitted", Sure: "probable", Rests: []journal.EntryID{entryID(cited)},
				Of: entryID(cited), Filter: []string{"pattern=K17", "day>=2026-01"}, Decided: []journal.Outcome{{What: journal.TrialAgreed, Says: "ten boots without the ring"}, {What: journal.NothingDone, Says: "the card stays"}}, CameOf: "no boot was cut since",
				Defect: journal.ScratchLook, Counted: []journal.Count{{With: "metal=iron", Defects: 3, Parts: 40}, {With: "pattern=K17", Defects: 2, Parts: 9}},
				Evidence: seen("the cut", "asked for by the insurer")},
			&journal.Investigation{Matter: "a torn boot", LookedAt: []string{"the boot"}, Found: "a cut by the ring", Concluded: "cut when it was fitted", Sure: "probable"}},
		{journal.Of("kit", "ks-7"),
			&journal.Kit{Kit: "ks-7", Contents: []journal.Item{{What: "square-section seal", Count: 1}, {What: "dust boot", Count: 1}}, Maker: "Hollow Pin", Number: "S-57", Supplier: "the parts counter", Batch: "2604", UseBy: "2031-03-31", Evidence: seen("the bag with its label", "two of the same came in")},
			&journal.Kit{Kit: "ks-7", Contents: []journal.Item{{What: "dust boot", Count: 1}}}},
		{onPart(),
			&journal.Condition{
				Condition: "pitted bore", Where: "piston bore, lower half", Measure: q[unit.Length]("0.2 mm"), Told: &journal.Telling{How: "telephone", On: "2026-03-02", Answer: "replace it"},
				Decision: "replace", Reason: "the seal runs over it", Evidence: seen("the pits", "felt with a fingernail"),
			},
			&journal.Condition{Condition: "pitted bore", Where: "piston bore"}},
		{onPart(),
			&journal.ConditionRuling{Of: entryID(cited), Decision: "refuse to refit", Reason: "the maker allows no welding here", Told: &journal.Telling{How: "in person", On: "2026-03-03", Answer: "find another one"}, Evidence: seen("the crack", "dye on both sides")},
			&journal.ConditionRuling{Of: entryID(cited), Decision: "refuse to refit", Reason: "the maker allows no welding here"}},
	}
}
