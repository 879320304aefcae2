package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// partWords says how a part was prepared, masked and put back.
func (s Statement) partWords() string {
	switch s.Quantity {
	case Tag:
		return fmt.Sprintf("tag %s, %s", s.Value, s.Has("metal"))
	case Rubber:
		switch {
		case s.Because == WasOnVehicle:
			return "it was stated that the part came without rubber in it, but it was taken off the vehicle"
		case s.Value == bareOnArrival:
			return "the part came without rubber in it"
		}
		return "all rubber out before any heat"
	case Degreaser:
		return "degreased with " + s.Value
	case BlastMedia:
		return "blasted with " + s.Value
	case BlastToPowder:
		return fmt.Sprintf("%s from blast to powder, by %s", s.Figure(), s.Has("clock"))
	case Soak:
		return s.soakedWords()
	case Rag:
		return "the rag was " + s.Value
	case SoakToPowder:
		return fmt.Sprintf("%s from soak to powder, by %s", s.Figure(), s.Has("clock"))
	case StepOrder:
		return s.Value
	case Masked:
		if s.Value == "1" {
			return "1 bore, thread or seat masked"
		}
		return s.Value + " bores, threads and seats masked"
	case Plugs:
		return fmt.Sprintf("%s in, %s counted out", count(s.Has("in"), "plug"), s.Value)
	case Seats:
		if s.Met == No {
			return "film is left on " + s.Of
		}
		return s.Of + " " + s.Value
	case NewParts:
		if s.Of == "" {
			return "nothing new went in"
		}
		return fmt.Sprintf("new: %s × %s", s.Value, s.Of)
	case ConditionIs:
		return fmt.Sprintf("%s at %s: %s", s.Of, s.Has("where"), s.Value) + words.If(s.Met == No, ", and the part is back on")
	case Refitted:
		switch s.Value {
		case "":
			return "back on; nobody has written where the bleeder screw is"
		case string(journal.NoBleeder):
			return "back on; this part has no bleeder screw"
		}
		return "back on, bleeder screw " + s.Value
	}
	return ""
}
