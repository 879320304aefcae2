package facts

import "fmt"

// pending says what is still to come.
func (s Statement) pending() string {
	switch s.Because {
	case NotTagged:
		return "the part has no tag yet"
	case NotStripped:
		return "nobody has written yet that all the rubber is out"
	case NotDegreased:
		return "not degreased yet"
	case NotBlasted:
		return "not blasted yet"
	case NotSoaked:
		return "not soaked yet"
	case NotDescribed:
		return "nobody has stated yet what this part has"
	case PlaceUnmasked:
		return s.part("is", "are") + " not masked yet"
	case PlugNotCounted:
		return s.part("is", "are") + " not counted out yet"
	case SeatNotShown:
		return s.part("is", "are") + " not shown bare yet"
	case RubberNotOut:
		return s.part("is", "are") + " not counted out yet"
	case RubberNotNew:
		return s.part("is", "are") + " not new yet"
	case NotMasked:
		return "nothing is masked yet"
	case NotPhotographed:
		return "no photograph shows that yet"
	case NoPowder:
		return "no powder is on yet"
	case NoPlug:
		return "no plug is in yet"
	case NotCounted:
		if s.Value == "1" {
			return "1 plug is in and not counted out yet"
		}
		return s.Value + " plugs are in and not counted out yet"
	case NotBaked:
		return fmt.Sprintf("coat %s has not been baked yet", s.Of)
	case InOven:
		return fmt.Sprintf("coat %s is in the oven", s.Of)
	case NoHeat:
		return "the part has not been heated yet"
	case NotMeasured:
		return "the film has not been measured yet"
	case NotDecided:
		return fmt.Sprintf("nobody has decided yet about the %s on %s", s.Of, s.Has("face"))
	case ConditionUndecided:
		return fmt.Sprintf("nobody has decided yet about the %s at %s", s.Of, s.Has("where"))
	case ReplacementNotShown:
		return fmt.Sprintf("%s at %s: %s; nobody has written yet, as a new part at this corner, that another one is in", s.Of, s.Has("where"), s.Value)
	case NoSeats:
		return "no seat has been shown bare yet"
	case NotRebuilt:
		return "not rebuilt yet"
	case NotBack:
		return "not back on the vehicle yet"
	case NotOff:
		return fmt.Sprintf("nobody has written that the %s came off", s.Of)
	case PartNotBack:
		return fmt.Sprintf("the %s is not back on", s.Of)
	case NothingInstead:
		return fmt.Sprintf("the %s does not go back, and nothing is in its place yet: enter the one that goes in as %s", s.Of, s.Has("as"))
	case RefusedByOtherName:
		return fmt.Sprintf("the %s is the same casting as the %s, which does not go back: enter the one that goes in as %s, or correct what says so", s.Of, s.Value, s.Has("as"))
	case TwoCastings:
		return fmt.Sprintf("the numbers %s were read on the %s: correct the one that is wrong or, if the casting was replaced, enter the other one as %s", s.Value, s.Of, s.Has("as"))
	case NoBag:
		return "no bag is written down yet"
	case NoEmptyBag:
		return "there is no photograph of the empty bag yet"
	case NoLine:
		return "no line of this corner has been opened yet"
	case NotClosed:
		return "open: " + s.Value
	case NoWasher:
		return "no new washer is written down yet"
	case NotTight:
		return fmt.Sprintf("the %s is not tightened yet", s.Of)
	case BoltsMissing:
		return fmt.Sprintf("%s of %s of the %s tightened", s.Value, count(s.Limit.Low, "bolt"), s.Of)
	case NotBled:
		return "not bled yet"
	case NoneBled:
		return "no corner has been bled yet"
	case NoScrewTorque:
		return "no torque of the bleeder screw is written down yet"
	case NotFull:
		return "the wheel has not been fully tightened on the ground yet"
	case NoArrival:
		return "nobody has written yet how the vehicle came in"
	case NoStands:
		return "nobody has written yet that the vehicle is on stands"
	case NoLastLook:
		return "nobody has looked at the reservoir since the last bleeding"
	case NoFluid:
		return "no fluid has gone in yet"
	case NotHeld:
		return "not held under pressure yet"
	case NotTried:
		return "the pedal has not been tried yet"
	case NoParkingBrake:
		return "no parking brake has been serviced"
	case NotCalibrated:
		return "not calibrated yet"
	case NotTriedParking:
		return "nobody has written yet that the parking brake was tried"
	case NotDriven:
		return "not driven yet"
	case NoSecondLook:
		return "no second person has looked yet"
	case NoOwnLook:
		return "the shop has one person, who has not looked again yet with a new photograph"
	}
	return ""
}
