package facts

import (
	"fmt"

	"fettlebook/journal"
)

// vehicleWords says how the vehicle as a whole stands.
func (s Statement) vehicleWords() string {
	switch s.Quantity {
	case ArrivalFindings:
		return count(s.Value, "finding") + " on arrival"
	case ArrivalAgreed:
		return "the customer has not accepted the list"
	case Stands:
		switch {
		case s.Of == onLift:
			return "on a lift: " + s.Has("points")
		case s.Has("axles") == "2":
			return fmt.Sprintf("%s for two axles: %s", count(s.Value, "stand"), s.Has("points"))
		}
		return fmt.Sprintf("%s: %s", count(s.Value, "stand"), s.Has("points"))
	case Level:
		return s.Figure() + " of the way from MIN to MAX at the end"
	case FluidBalance:
		if s.Because == SpanNotKnown {
			return "how much the reservoir holds from MIN to MAX is not on record, so the levels that were read are the evidence, and no balance is"
		}
		return s.Result.Say()
	case LevelAtMin:
		return "the level was read at MIN, and how far below it was before cannot be known"
	case BleedOrder:
		if s.Limit.Words == "" {
			return fmt.Sprintf("bled in the order %s; the vehicle’s own order is not on record", s.Value)
		}
		return fmt.Sprintf("bled in the order %s; %s asks for %s", s.Value, s.Source, s.Limit.Words)
	case VehicleFluid:
		switch {
		case s.Because == NotStated:
			return "nobody has written which fluid the vehicle itself asks for"
		case s.Because == BoilsLower:
			return fmt.Sprintf("%s boils lower than %s, which the vehicle asks for (%s)", s.Of, s.Value, s.Source)
		case s.Met == No:
			return fmt.Sprintf("%s must not go into a vehicle that asks for %s (%s)", s.Of, s.Value, s.Source)
		}
		return fmt.Sprintf("%s suits a vehicle that asks for %s (%s)", s.Of, s.Value, s.Source)
	case FluidOpenDays:
		return fmt.Sprintf("%s was open for %s", s.Of, count(s.Value, "day"))
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
			return "nobody has written that it was put into service mode"
		case s.Met == No:
			return "still in service mode"
		}
		return "in service mode and out again"
	case Calibration:
		if s.Value == string(journal.Adjusted) {
			return "adjusted"
		}
		return "calibrated"
	case ParkingIs:
		if s.Because == NotStated {
			return "a rear caliper came off, and nobody has written what kind of parking brake the vehicle has"
		}
		return "parking brake: " + s.Value
	case ParkingHolds:
		switch {
		case s.Because == WorkAfterTrial:
			return fmt.Sprintf("the parking brake was tried %s before the last work on it", s.Value)
		case s.Met == No:
			return fmt.Sprintf("the parking brake was tried %s and does not hold", s.Value)
		}
		return fmt.Sprintf("the parking brake was tried %s and holds", s.Value)
	case Lamp:
		return "nobody has written that the lamp is off"
	case Driven:
		if s.Because == DrivenUnchecked {
			return "driven before the joints were held under pressure and the pedal was tried"
		}
		return fmt.Sprintf("driven %s: %s", s.Figure(), s.Has("result"))
	case SecondLook, OwnLook:
		return s.lookWords()
	}
	return ""
}
