package facts

import "fmt"

// cornerWords says how the joints, lines and wheel of a corner stand.
func (s Statement) cornerWords() string {
	switch s.Quantity {
	case PartsBack:
		return "back on: " + s.Value
	case Bagged:
		return count(s.Value, "piece") + " bagged"
	case BagEmpty:
		return "a photograph shows the bag empty"
	case LineState:
		switch {
		case s.Because == NotOpened:
			return "closed, and nobody has written that it was opened"
		case s.Met == No:
			return "open: " + s.Has("places")
		}
		return "opened and closed again"
	case NewWashers:
		return fmt.Sprintf("%s at the %s", count(s.Value, "new "+s.Has("material")+" washer"), s.Of)
	case JointTorque:
		return s.jointWords()
	case ToolFit:
		return s.Tool.Say()
	case Bled:
		return fmt.Sprintf("%s drawn, bubbles at the end: %s", s.Figure(), s.Has("bubbles"))
	case BleedNeeded:
		return s.Result.Say()
	case ScrewTorque:
		if s.Value == closedByHand {
			return "bleeder screw closed by hand, as the maker gives no figure"
		}
		return fmt.Sprintf("bleeder screw %s with %s", s.Figure(), s.Has("tool"))
	case WheelTorque:
		return fmt.Sprintf("%s at %s on the ground, %s pattern", count(s.Has("nuts"), "nut"), s.Figure(), s.Has("pattern"))
	case WheelSnug:
		if s.Because == NotSnug {
			return "nobody has written that they were snug in the air first"
		}
		return fmt.Sprintf("snug at %s in the air first", s.Figure())
	}
	return ""
}

// jointWords says what a joint got, and from which vehicles its figure is borrowed.
func (s Statement) jointWords() string {
	from := s.Has("borrowed from")
	if from == "" || s.Because == OtherVehicle {
		return s.tightenedWords()
	}
	return s.tightenedWords() + "; the figure is borrowed from " + from
}

func (s Statement) tightenedWords() string {
	switch s.Because {
	case CannotJudge:
		return fmt.Sprintf("%s on the %s: %s", s.Figure(), s.Of, s.Fault)
	case OtherJoint:
		return fmt.Sprintf("%s: %s is not proven: the figure %s is for another joint, %s", s.Of, s.Figure(), s.Has("spec"), s.Has("spec joint"))
	case BoltsMissing:
		return fmt.Sprintf("%s of %s of the wheel tightened", s.Value, count(s.Limit.Low, "nut"))
	case BoltsNotNew:
		return fmt.Sprintf("%s: %s is not proven: these bolts are used once only, and nobody has written that they are new", s.Of, s.Figure())
	case OtherVehicle:
		return fmt.Sprintf("%s: %s is not proven: the figure %s is borrowed from %s, and nothing shows that it holds for this vehicle; have the maker’s figure for this one recorded", s.Of, s.Figure(), s.Has("spec"), s.Has("borrowed from"))
	case OtherThread:
		threads := s.Has("thread")
		if threads == "" {
			threads = "not on record"
		}
		return fmt.Sprintf("%s: %s is not proven: the figure holds for threads %s, and they are %s", s.Of, s.Figure(), s.Has("asked thread"), threads)
	case "", NoVerdict:
		text := s.Of + ": " + s.Result.Say()
		if s.Source != "" {
			text += " (" + s.Source + ")"
		}
		return text
	}
	return fmt.Sprintf("%s: %s is not proven: %s", s.Of, s.Figure(), s.Tool.Say())
}
