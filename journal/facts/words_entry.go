package facts

import (
	"fmt"
	"strings"

	"fettlebook/journal"
)

// entryWords says what an entry comes to by itself.
func (s Statement) entryWords() string {
	if s.Because == Warned {
		return s.Result.Say()
	}
	switch s.Quantity {
	case VIN:
		return fmt.Sprintf("the VIN’s check digit %s fits", s.Has("digit"))
	case ToolUses:
		return s.toolWords()
	case AtBolt:
		text := fmt.Sprintf("with this adapter %s at the tool is %s at the bolt", s.Has("reading"), s.Figure())
		if setting := s.Has("setting"); setting != "" {
			text += fmt.Sprintf("; for %s at the bolt the tool is set to %s", s.Has("wanted"), setting)
		}
		return text
	case TorqueAlone:
		return s.aloneWords()
	case ToolRange:
		return fmt.Sprintf("%s lies outside what is marked on %s, %s, where its tolerance no longer holds", s.Figure(), s.Of, s.Limit)
	case NutMoved:
		return "a nut turned before the tool clicked, so it had come loose: look for the reason before the vehicle is driven on"
	case FluidUseBy:
		return s.useByWords(fmt.Sprintf("%s from %s", s.Has("grade"), s.Of))
	case LotUseBy:
		return s.useByWords("powder lot " + s.Of)
	case KitUseBy:
		return s.useByWords("kit " + s.Of)
	case BoilingPoint:
		return s.Result.Say()
	case FluidSinceFirst:
		return "since the first look at the reservoir: " + s.Result.Say()
	case FilmRange:
		return fmt.Sprintf("the mean of %s is %s, single readings from %s to %s", count(s.Has("spots"), "spot"), s.Figure(), s.Has("least"), s.Has("greatest"))
	case MetalSoaked:
		return s.soakWords()
	case PlugsLeft:
		return s.plugWords()
	case ConditionOpen:
		return fmt.Sprintf("nobody has decided about the %s at %s; decide before the part goes back on", s.Of, s.Has("where"))
	case ConditionUsed:
		return fmt.Sprintf("%s at %s: it can fail on the road, so use it as it is only if the maker’s data allow it", s.Of, s.Has("where"))
	case ScheduleAsked:
		return fmt.Sprintf("lot %s asks for %s, counted from when the metal is there, not the oven", s.Of, s.Value)
	case BakeSeen:
		switch s.Because {
		case NoProbe:
			return "no probe on the part and none that stands for it, so whatever the oven shows, the bake will read as not proven"
		case HeavierPart, OtherKind, OtherMetal:
			return s.noCure() + ", so the bake will read as not proven"
		case CannotJudge:
			return "the trace cannot be read: " + s.Fault.Error()
		}
		if on := journal.Subject(s.Has("on")); on != "" {
			return fmt.Sprintf("by the probe on the %s %s, which stands for this part: %s", on.Corner(), on.Part(), s.Result.Say())
		}
		return s.Result.Say()
	}
	return s.coverageWords()
}

// toolWords says what a tool is marked with, and how it stands.
func (s Statement) toolWords() string {
	t := s.Tool
	if t.Stated == nil {
		return t.Say() + ", so nobody knows its range and its checks"
	}
	text := s.in.Sprintf("%s is marked %s to %s", t.ID, t.Stated.Low, t.Stated.High)
	if t.Stated.Low.IsZero() || t.Stated.High.IsZero() {
		text = fmt.Sprintf("the range of %s is not on the register", t.ID)
	}
	if percent, _, err := t.Tool.Permissible(); err == nil {
		text += s.in.Sprintf(", ±%g %%", percent)
	}
	if t.Doubt != NoDoubt {
		return text + "; " + t.Say()
	}
	return text + fmt.Sprintf("; last checked on %s, next due on %s or after %s; with this one %s since", s.calendar(s.Has("checked")), s.calendar(s.Has("due")), count(s.Limit.High, "use"), s.Value)
}

// aloneWords says what a bolt got for which there is no figure.
func (s Statement) aloneWords() string {
	if s.Fault != nil {
		return fmt.Sprintf("%s on %s: %s", s.Figure(), s.Of, s.Fault)
	}
	text := fmt.Sprintf("%s on %s", s.Figure(), s.Of)
	if from := s.Has("from"); from != "" {
		text += fmt.Sprintf(" is %s to %s with the tool’s %s", from, s.Has("to"), s.Has("tolerance"))
	}
	if s.Has("step") == string(journal.WheelSnug) {
		return text + "; the figure is for the full step"
	}
	return text + "; compare it with the maker’s figure, which is not on record for it"
}

func (s Statement) useByWords(what string) string {
	days, past := strings.CutPrefix(s.Value, "-")
	switch {
	case past:
		return fmt.Sprintf("%s was to be used by %s, %s ago: take a fresh one", what, s.calendar(s.Limit.High), count(days, "day"))
	case days == "0":
		return fmt.Sprintf("%s is to be used by %s, which is today", what, s.calendar(s.Limit.High))
	}
	return fmt.Sprintf("%s is to be used by %s, in %s", what, s.calendar(s.Limit.High), count(days, "day"))
}

func (s Statement) soakWords() string {
	metal := s.Has("metal")
	if metal == "" {
		return fmt.Sprintf("%s at %s by the oven; the metal was not measured, and a heavy casting takes that long to get there", s.Figure(), s.Has("set"))
	}
	text := fmt.Sprintf("the metal was at %s for %s", metal, s.Figure())
	switch under := s.Has("below the oven"); {
	case strings.HasPrefix(under, s.in.Number("0.0 ")):
	case strings.HasPrefix(under, "-"):
		text += fmt.Sprintf(", %s above what the oven was set to: check both", under[1:])
	default:
		text += fmt.Sprintf(", %s below the oven", under)
	}
	if above := s.Has("counts above"); above != "" {
		text += "; all of that time counts as heat above " + above
	}
	return text
}

func (s Statement) plugWords() string {
	left, more := strings.CutPrefix(s.Has("left"), "-")
	counted := fmt.Sprintf("%s in, %s out", count(s.Has("in"), "plug"), s.Value)
	switch {
	case left == "0":
		return counted + ": none is left in"
	case more:
		return fmt.Sprintf("%s: %s more than went in, so one of the counts is wrong: count again", counted, left)
	case s.Because == PlugsMissing:
		return fmt.Sprintf("%s: %s still in; find it before the part goes on", counted, left)
	}
	return fmt.Sprintf("%s: %s still in", counted, left)
}
