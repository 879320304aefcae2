package facts

import (
	"fmt"

	"fettlebook/journal/words"
)

// drivingWords says why a vehicle is not to be driven.
func (s Statement) drivingWords() string {
	switch s.Quantity {
	case PartsOff:
		return s.Value + " off"
	case PlaceEmpty:
		return "part missing"
	case LineOpen:
		return fmt.Sprintf("line open (%s)", s.Value)
	case JointLoose:
		return s.Of + " not tight"
	case JointNotProven:
		return fmt.Sprintf("torque of the %s not proven", s.Of)
	case Unbled:
		return "not bled"
	case WheelLoose:
		return "wheel not tight"
	case WheelNotProven:
		return "torque of the wheel not proven"
	case NoLeakCheck:
		return "not held under pressure and found dry"
	case NoFirmPedal:
		return "pedal not tried and found firm"
	case BrakeInService:
		return "parking brake in service mode"
	}
	return ""
}

// DoNotDrive says what [Job.Driving] states, "" if that is nothing.
func DoNotDrive(list []Statement) string {
	var clauses []string
	for _, s := range list {
		at := ""
		if s.About.Corner() != "" {
			at = s.About.Place() + " "
		}
		clauses = append(clauses, at+s.Say())
	}
	return words.Fill("Do not drive: %s", words.Commas(clauses...))
}
