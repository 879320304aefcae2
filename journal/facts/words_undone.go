package facts

import "fmt"

// undone says what a later entry did.
func (s Statement) undone() string {
	switch s.Because {
	case RubberLeftIn:
		return "rubber was left in at the strip"
	case HeatedWithRubber:
		return "the part went into heat with rubber in it, or before anyone wrote that it was out"
	case HeatedWithChlorine:
		return "the part went into heat after a chlorinated degreaser"
	case HeatedWet:
		return "the part went into heat while it was wet with solvent"
	case WrongOrder:
		return fmt.Sprintf("it was %s before it was %s", s.Value, s.Has("before"))
	case PowderUnmasked:
		return "powder went on while nothing was masked"
	case PowderOnPlace:
		return "powder went on while " + s.part("was", "were") + " not masked"
	case HeatedWithPart:
		return "the part went into heat before " + s.part("was", "were") + " counted out"
	case BackBeforePlug:
		return "the part was back on before " + s.part("was", "were") + " counted out"
	case BackBeforeSeat:
		return "the part was back on before " + s.part("was", "were") + " shown bare"
	case BackBeforeRubber:
		return "the part was back on before " + s.part("was", "were") + " new"
	case BackBeforePlugs:
		return "the part was back on before its plugs were counted out"
	case CoatedAfter:
		return "the part was coated, baked or blasted after the film was measured"
	case SoiledAfter:
		return "the part went into powder or heat after its seats were shown bare"
	case BackBeforeSeats:
		return "the part was back on before its seats were looked at"
	case HeatedAfterRebuild:
		return "the part went into heat after it was rebuilt"
	case BackBeforeRebuild:
		return "the part was back on before it was rebuilt"
	case OffAgain:
		return "the part was taken off again"
	case PartOffAgain:
		return fmt.Sprintf("the %s was taken off again", s.Of)
	case BackAfterBag:
		return "a part went back on after the bag was shown empty"
	case OpenedAfterWashers:
		return "the line was opened after the washers went in"
	case OpenedAgain:
		return "the line was opened again"
	case AirAfter:
		return "air could get in after the bleeding: " + s.Result.Say()
	case BleedAgain:
		return fmt.Sprintf("%s must be bled again: %s", s.Of, s.Result.Say())
	case LineOpenedAfter:
		return fmt.Sprintf("the line was opened at %s after the joint was tightened", s.Of)
	case OffAfterTight:
		return "the part was taken off after the joint was tightened"
	case OnAfterTight:
		return "the part was put on after the joint was tightened"
	case WorkBehindWheel:
		return "work went on behind the wheel after it was fitted"
	case OffBefore:
		return "a part came off before that"
	case RanDry:
		return "the reservoir ran dry"
	case NoLook:
		return fmt.Sprintf("nobody looked at the reservoir before %s was bled", s.Of)
	case HydraulicsAfterLeak:
		return "work on the hydraulics came after the leak check"
	case HydraulicsAfterPedal:
		return "work on the hydraulics came after the pedal was tried"
	case ServiceModeAgain:
		return "it was put into service mode again"
	case ServiceModeAfter:
		return "it was put into service mode after it was calibrated"
	case OffBeforeService:
		return "the rear caliper came off before the parking brake was put into service mode; only another caliper in its place meets this now"
	case OnAfterService:
		return "the rear caliper went back on after service mode was left"
	case OnAfterSetting:
		return "the rear caliper went back on after the parking brake was set"
	case WorkAfterTrial:
		return "work on the parking brake came after it was tried"
	case WorkAfterRoad:
		return "work came after the road test"
	case FoundWrong:
		return s.Of + " found it wrong"
	case WorkAfterLook:
		return "work came after the second check"
	}
	if s.Tool != nil {
		return s.Tool.Say()
	}
	return ""
}
