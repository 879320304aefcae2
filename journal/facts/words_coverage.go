package facts

import (
	"cmp"
	"fmt"
)

// Coverage reports whether the statement is about a complaint and its warranty,
// which no verdict is ever made of: a person decides.
func (s Statement) Coverage() bool {
	switch s.Quantity {
	case WarrantyPromised, WarrantyTime, WarrantyDistance, WarrantyEnds, WarrantyExcludes, ClaimSettled:
		return true
	}
	return false
}

// coverageWords says how a complaint stands to the warranty.
func (s Statement) coverageWords() string {
	switch s.Quantity {
	case WarrantyPromised:
		if s.Because == NoWarranty {
			return "no warranty had been promised when the complaint came in"
		}
		return fmt.Sprintf("promised: %s; whether that covers what the complaint is about, a person decides", s.Value)
	case WarrantyTime:
		return s.timeWords()
	case WarrantyDistance:
		return s.distanceWords()
	case WarrantyEnds:
		return "time or distance, whichever ends first: " + s.endWords()
	case WarrantyExcludes:
		if s.Because == NotAnswered {
			return fmt.Sprintf("asked by the warranty, and not answered yet: “%s”", s.Of)
		}
		return fmt.Sprintf("asked by the warranty: “%s” The answer is %s", s.Of, s.Value)
	case ClaimSettled:
		if s.Because == ClaimStruck {
			return fmt.Sprintf("the complaint of %s, which this decides, was struck out", cmp.Or(s.when, s.Of))
		}
		return fmt.Sprintf("decided %s as well, on %s: %s; the last decision holds", s.Has("when"), cmp.Or(s.when, s.Of), s.Value)
	}
	return ""
}

func (s Statement) timeWords() string {
	switch s.Because {
	case NotHandedBack:
		return fmt.Sprintf("the vehicle had not been handed back when the complaint came in, so the %s of the warranty had not begun: not known", s.Limit.High)
	case ClockBehind:
		return fmt.Sprintf("the complaint came in after the handover, and its clock showed %s, before %s, the day of the handover: not known", s.Has("complaint"), s.Has("back"))
	}
	text := fmt.Sprintf("handed back on %s, complaint on %s: %s of %s; the last day is %s: ", s.Has("back"), s.Has("complaint"), s.Value, s.Limit.High, s.Has("last day"))
	if s.Because == DaysDiffer {
		return text + fmt.Sprintf("not known, since that day is by a clock set to %s, and by the clock of the handover (%s) it was %s", s.Has("zone"), s.Has("zone there"), s.Has("complaint there"))
	}
	return text + s.inside()
}

func (s Statement) distanceWords() string {
	at := "at handover"
	if on := s.Has("read on"); on != "" {
		at = fmt.Sprintf("on %s, when it was last read before the handover", on)
	}
	switch s.Because {
	case NotHandedBack:
		return fmt.Sprintf("the vehicle had not been handed back when the complaint came in, so the %s of the warranty had not begun: not known", s.Limit.High)
	case NoOdometerBack:
		return fmt.Sprintf("no odometer reading of the handover is on record, so how much of %s was driven is not known", s.Limit.High)
	case NoOdometer:
		return fmt.Sprintf("odometer %s %s, and none is on record of the complaint, so how much of %s was driven is not known", s.Has("back"), at, s.Limit.High)
	case OdometerFell:
		return fmt.Sprintf("odometer %s at the complaint, less than %s %s: one of the two was misread or the odometer was changed, so how much of %s was driven is not known", s.Has("complaint"), s.Has("back"), at, s.Limit.High)
	}
	return fmt.Sprintf("odometer %s %s, %s at the complaint: %s of %s: %s", s.Has("back"), at, s.Has("complaint"), s.Figure(), s.Limit.High, s.inside())
}

func (s Statement) inside() string {
	switch s.Met {
	case Yes:
		return "inside"
	case No:
		return "outside"
	}
	return "not known"
}

func (s Statement) endWords() string {
	switch s.Met {
	case Yes:
		return "inside both"
	case No:
		return fmt.Sprintf("outside, since %s had ended", s.Of)
	}
	return fmt.Sprintf("not known, since it is not known whether %s had ended", s.Of)
}
