package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/trade/bake"
	"fettlebook/journal/words"
)

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
			return fmt.Sprintf("coat %s: not proven: %s", s.Of, s.noCure())
		}
		return fmt.Sprintf("coat %s: %s", s.Of, s.cureWords())
	case Overbake:
		return s.overbakeWords()
	case HeatDose:
		how := "by probes on the part"
		if s.Sure == AtMost {
			how = "at most, since not all of it was measured on the part"
		}
		if open := s.Has("open"); open != "" {
			how += fmt.Sprintf("; nobody has written how long %s lasted, so that is not in it", count(open, "bake"))
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
	case PowderFresh, Earth, Reclaimed, Booth:
		return s.sprayedWords()
	case Equipment:
		return s.equipmentWords()
	case SensorCheck:
		return fmt.Sprintf("probe %s: %s", s.Of, s.Tool.Say())
	case ApprovedColour:
		return s.approvedWords()
	case Adhesion:
		return s.adhesionWords()
	case DefectFound:
		if s.Of == "" {
			return "no defect of the coat was written down"
		}
		return fmt.Sprintf("%s on %s: %s", s.Of, s.Has("face"), s.Value)
	}
	return ""
}

// cureWords says what the coldest probe showed of a coat, on the part or on
// the one that stands for it.
func (s Statement) cureWords() string {
	by := "by the coldest probe that gave readings: " + s.Has("probe") + words.Fill(" (%s)", s.Has("place"))
	if on := journal.Subject(s.Has("on")); on != "" {
		by += fmt.Sprintf(" on the %s %s, which stands for this part", on.Corner(), on.Part())
	}
	switch bake.Word(s.Has("verdict")) {
	case bake.Met:
		return fmt.Sprintf("schedule met %s times, %s", s.Value, by)
	case bake.MetLenient:
		return fmt.Sprintf("schedule met %s times, but only on the lenient reading; %s times on the strict one, %s", s.Has("lenient"), s.Value, by)
	}
	return fmt.Sprintf("schedule not met: %s of it, %s on the lenient reading, %s", s.Value, s.Has("lenient"), by)
}

// overbakeWords says what speaks of too much heat: the powder's sheet, or what
// somebody saw of the colour.
func (s Statement) overbakeWords() string {
	switch {
	case s.Value == "":
		return fmt.Sprintf("the film shows it: %s at %s", s.Of, s.Has("face"))
	case s.Met == No:
		return fmt.Sprintf("coat %s had up to %s schedules, more than the %s that the sheet allows", s.Of, s.Value, s.Limit.High)
	}
	return fmt.Sprintf("coat %s had up to %s schedules, and the sheet allows %s", s.Of, s.Value, s.Limit.High)
}

// noCure says why nothing can be said of a coat's bake.
func (s Statement) noCure() string {
	of := journal.Subject(s.Value)
	switch s.Because {
	case BadSchedule:
		return fmt.Sprintf("lot %s: %s", s.Has("lot"), s.Fault)
	case NoTemperatures:
		return "no temperatures were logged"
	case NotShown:
		return s.Result.Say()
	case HeavierPart:
		return fmt.Sprintf("the probe on the %s %s cannot stand for this part, which is heavier", of.Corner(), of.Part())
	case OtherKind:
		return fmt.Sprintf("the probe on the %s %s cannot stand for another kind of part", of.Corner(), of.Part())
	case OtherMetal:
		return fmt.Sprintf("the probe on the %s %s cannot stand for a part of another metal", of.Corner(), of.Part())
	default:
		return "no probe was on the part"
	}
}
