package facts

import "fmt"

// coatWords says what is known of powder, cure, heat, film and defects.
func (s Statement) coatWords() string {
	switch s.Quantity {
	case Powder:
		switch s.Because {
		case NoReceipt:
			return fmt.Sprintf("the receipt of lot %s is not here", s.Value)
		case NoSchedule:
			return fmt.Sprintf("lot %s has no bake schedule", s.Value)
		}
		return fmt.Sprintf("coat %s of lot %s, %s", s.Of, s.Value, s.Has("colour"))
	case Schedule:
		if s.Sure == NotProven {
			return fmt.Sprintf("coat %s: not proven (%s)", s.Of, s.noCure())
		}
		return fmt.Sprintf("coat %s: %s, schedule fraction %s strict and %s lenient on the part", s.Of, s.Has("verdict"), s.Value, s.Has("lenient"))
	case HeatDose:
		how := "by probes on the part"
		if s.Sure == AtMost {
			how = "at most, since not all of it was measured on the part"
		}
		return fmt.Sprintf("%s above %s over the life of the casting, %s", s.Figure(), s.Has("above"), how)
	case FilmMean:
		if s.Fault != nil {
			return "the readings cannot be judged: " + s.Fault.Error()
		}
		return s.Result.Say()
	case DewMargin:
		switch s.Because {
		case NotAllRead:
			return "air, humidity and metal were not all read at coat " + s.Of
		case CannotJudge:
			return "the dew point cannot be worked out: " + s.Fault.Error()
		}
		return s.Result.Say()
	case DefectFound:
		if s.Of == "" {
			return "no defect was written down"
		}
		return fmt.Sprintf("%s on %s: %s", s.Of, s.Has("face"), s.Value)
	}
	return ""
}

// noCure says why nothing can be said of a coat's cure.
func (s Statement) noCure() string {
	switch s.Because {
	case BadSchedule:
		return fmt.Sprintf("lot %s: %s", s.Has("lot"), s.Fault)
	case NoTemperatures:
		return "no temperatures were logged"
	default:
		return "no probe on the part"
	}
}
