package journaltest

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

func afterSamples() []sample {
	card := journal.Of("card", "c7w1m3e9")
	withdrawn := media.RefOf([]byte("the photo of a number plate"))
	return []sample{
		{card,
			&journal.CardWriting{Card: "c7w1m3e9", Commitment: digest("a card"), Evidence: seen("the order form", "written at the counter")},
			&journal.CardWriting{Card: "c7w1m3e9", Commitment: digest("a card")}},
		{card,
			&journal.CardErasing{Card: "c7w1m3e9", Reason: "the customer asked for it", Evidence: seen("the letter", "answered the same day")},
			&journal.CardErasing{Card: "c7w1m3e9", Reason: "the customer asked for it"}},
		{onJob(),
			&journal.Withdrawal{Photo: withdrawn, Reason: "shows a passer-by", Evidence: seen("the corner without the person", "taken again")},
			&journal.Withdrawal{Photo: withdrawn, Reason: "shows a passer-by"}},
		{onJob(),
			&journal.Retorque{Distance: q[unit.Distance]("62 km"), Torque: q[unit.Torque]("110 N.m"), Tool: Wrench, Moved: true, Evidence: seen("the nut that moved", "an eighth of a turn")},
			&journal.Retorque{Torque: q[unit.Torque]("110 N.m"), Tool: Wrench, Moved: false}},
		{onJob(),
			&journal.Contact{How: "telephone", About: "wheel nuts after 50 km", Reached: true, Answer: "comes on Thursday", Of: entryID(cited), Keeps: "retorque", Evidence: seen("the call list", "second try")},
			&journal.Contact{How: "telephone", About: "wheel nuts after 50 km", Reached: false}},
		{onJob(),
			&journal.Claim{Says: "a bubble in the paint on the left", Odometer: q[unit.Distance]("86900 km"), Evidence: seen("the bubble", "after a winter")},
			&journal.Claim{Says: "a bubble in the paint on the left"}},
		{onJob(),
			&journal.ClaimDecision{Of: entryID(cited), Decision: "put right at our cost", Reason: "pinhole under the film", Evidence: seen("the pinhole", "recoat booked"),
				Answers: []journal.ClaimAnswer{{Question: "Was it driven on a track?", Answer: "no"}, {Question: "Was a wheel cleaner with acid used?", Answer: "not known"}}, Maker: "does the lot gas out at 200 °C?"},
			&journal.ClaimDecision{Of: entryID(cited), Decision: "put right at our cost", Reason: "pinhole under the film"}},
		{onCorner(),
			&journal.Snapshot{Evidence: seen("the corner", "before any work")},
			&journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{{Ref: Picture("the corner").Ref, Thumb: Picture("").Thumb}}}}},
		{onCorner(),
			&journal.PhotoMarks{Of: entryID(cited), Marks: []journal.Pointed{
				{Photo: Picture("the pinholes").Ref, Shape: "ring", X: q[unit.Ratio]("51 %"), Y: q[unit.Ratio]("38 %"), Radius: q[unit.Ratio]("6 %"), Says: "three pinholes"},
				{Photo: Picture("the corner").Ref, Shape: "arrow from above", X: q[unit.Ratio]("20.5 %"), Y: q[unit.Ratio]("74 %"), Radius: q[unit.Ratio]("5 %"), Says: "the seat is bare"},
			}, Evidence: seen("the same place, nearer", "for the powder's maker")},
			&journal.PhotoMarks{Of: entryID(cited), Marks: []journal.Pointed{{Photo: Picture("the corner").Ref, Shape: "ring", X: q[unit.Ratio]("51 %"), Y: q[unit.Ratio]("38 %"), Says: "a chip"}}}},
		{onJob(),
			&journal.Remark{Evidence: seen("the locking key", "the locking nut's key is in the glove box")},
			&journal.Remark{Evidence: journal.Evidence{Note: "the locking nut's key is in the glove box"}}},
		{onJob(),
			&journal.Correction{
				Of: entryID(cited), Reason: "read the wrong scale", Data: jsontext.Value(`{"joint":"banjo bolt","torque":"27 N.m","tool":"tw-1"}`),
				Evidence: seen("both scales of the wrench", "written down at once"),
			},
			&journal.Correction{Of: entryID(cited), Reason: "read the wrong scale"}},
		{onPart(),
			&journal.Waiver{Hold: "film-within-limits", Reason: "hidden face, agreed with the customer", ConfirmedBy: journal.ByPassphrase, Evidence: seen("the hidden face", "told on the telephone")},
			&journal.Waiver{Hold: "film-within-limits", Reason: "hidden face, agreed with the customer"}},
		{onCorner(),
			&journal.SecondCheck{Of: entryID(cited), Finds: "right", Tried: []string{"bracket bolts", "banjo bolt"}, ConfirmedBy: journal.ByPIN, Evidence: seen("the marked bolts again", "wrench tried on both")},
			&journal.SecondCheck{Of: entryID(cited), Finds: "right"}},
		{journal.Of("device", string(Bench)),
			&journal.LogNote{Device: Bench, From: 1204, Evidence: seen("the tablet", "after its program was renewed")},
			&journal.LogNote{Device: Bench, From: 1204}},
		{journal.Of("device", string(Bench)),
			&journal.LogClosing{Device: Bench, Counts: 873, Evidence: seen("the tablet's screen", "restored from an old backup")},
			&journal.LogClosing{Device: Bench, Counts: 873}},
		{onJob(),
			&journal.OrderStatement{First: entryID(cited), Then: entryID("0195a3c1-7e40-7002-8c3a-5d1f0a6b7c8d"), How: "the line was still open when I stamped the arrival", Evidence: seen("the open line", "asked by the office")},
			&journal.OrderStatement{First: entryID(cited), Then: entryID("0195a3c1-7e40-7002-8c3a-5d1f0a6b7c8d"), How: "the line was still open when I stamped the arrival"}},
		{journal.Of("device", "office"),
			&journal.LogParting{Device: "office", Common: 412, Evidence: seen("the office machine", "restored from last week's backup")},
			&journal.LogParting{Device: "office", Common: 412}},
	}
}
