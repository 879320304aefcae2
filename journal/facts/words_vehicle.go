package facts

import "fmt"

// vehicleWords says how the vehicle as a whole stands.
func (s Statement) vehicleWords() string {
	switch s.Quantity {
	case ArrivalFindings:
		return count(s.Value, "finding") + " on arrival"
	case ArrivalAgreed:
		return "the customer has not accepted the list"
	case Stands:
		return fmt.Sprintf("%s: %s", count(s.Value, "stand"), s.Has("points"))
	case Level:
		return s.Figure() + " of the way from MIN to MAX at the end"
	case FluidBalance:
		return s.Result.Say()
	case Fluid:
		if s.Because == NoContainer {
			return fmt.Sprintf("the container %s is not on the register", s.Of)
		}
		return fmt.Sprintf("%s from %s", s.Value, s.Of)
	case FluidMix:
		return fmt.Sprintf("%s and %s are not compatible", s.Of, s.Value)
	case LeakHeld:
		return fmt.Sprintf("held for %s: %s", s.Figure(), s.Has("result"))
	case Pedal:
		return "pedal " + s.Value
	case ServiceMode:
		switch {
		case s.Because == NotInServiceMode:
			return "nobody wrote that it was put into service mode"
		case s.Met == No:
			return "still in service mode"
		}
		return "in service mode and out again"
	case Calibration:
		return "calibrated"
	case Lamp:
		return "nobody wrote that the lamp is off"
	case Driven:
		if s.Because == DrivenUnchecked {
			return "driven before the joints were held under pressure and the pedal was tried"
		}
		return fmt.Sprintf("driven %s: %s", s.Figure(), s.Has("result"))
	case SecondLook:
		switch s.Because {
		case NotTheseBrakes:
			return fmt.Sprintf("the entry that %s looked at is not work on these brakes, or is not here", s.Of)
		case OwnWork:
			return s.Of + " looked at work of their own"
		case NotAuthorised:
			return s.Of + " is not authorised for second checks"
		}
		return s.Of + " found it right"
	}
	return ""
}
