package record

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// sayBrake states the work of the brake bench.
func sayBrake(p journal.Payload) string {
	switch p := p.(type) {
	case *journal.Rebuild:
		return words.Clauses("rebuilt", text("new: %s", items(p.NewParts)), text("lubricant %s", p.Lubricant))
	case *journal.SeatProof:
		return fmt.Sprintf("seats %s: %s", p.State, words.Commas(p.Seats...))
	case *journal.Refitting:
		return words.Clauses("back on the vehicle", text("bleeder %s", p.Bleeder))
	case *journal.Washers:
		return words.Clauses(fmt.Sprintf("%s at %s: %s", words.Count(p.Count, "new washer"), p.Joint, p.Material), p.Size)
	case *journal.LineOpening:
		return "hydraulics opened at " + p.At
	case *journal.LineConnection:
		return "hydraulics closed at " + p.At
	case *journal.Torque:
		return torque(p)
	case *journal.Reservoir:
		return words.Clauses(fmt.Sprintf("fluid %s of the way from MIN to MAX, then %s", p.Before, p.After), given("added %s", p.Added), text("from %s", p.Fluid),
			yes(p.RanDry, "ran dry: air was drawn in"))
	case *journal.Bleed:
		return words.Clauses(fmt.Sprintf("bled %s of %s", p.Drawn, p.Fluid), fmt.Sprintf("bubbles at the end: %s", p.Bubbles),
			given("screw %s", p.Screw)+text(" with %s", p.Tool))
	case *journal.ParkingBrake:
		return words.Clauses(fmt.Sprintf("parking brake: %s", p.State), given("battery %s", p.Battery), yes(p.LampOff, "lamp off"))
	case *journal.LeakCheck:
		return fmt.Sprintf("held under pressure for %s: %s", p.Held, p.Result)
	case *journal.PedalCheck:
		return fmt.Sprintf("pedal %s", p.Feel)
	case *journal.WheelFit:
		return words.Clauses(fmt.Sprintf("wheel on: %s", p.Step), fmt.Sprintf("%s on %s with %s", p.Torque, words.Count(p.Nuts, "nut"), p.Tool), fmt.Sprintf("pattern %s", p.Pattern))
	}
	return ""
}

// torque reads "27 N.m on banjo bolt with tw-1".
func torque(p *journal.Torque) string {
	offset := ""
	if a := p.Adapter; a != nil {
		offset = fmt.Sprintf("offset end %s at %d° on a wrench of %s", a.Offset, a.Angle, a.Wrench)
	}
	return words.Clauses(fmt.Sprintf("%s on %s with %s", p.Torque, p.Joint, p.Tool), yes(p.Count > 1, words.Count(p.Count, "bolt")),
		text("pattern %s", p.Pattern), text("figure %s", p.Spec), offset, yes(p.Marked, "paint line drawn"))
}
