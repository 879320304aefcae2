package facts

import (
	"fettlebook/journal"
	"fettlebook/journal/trade/bleed"
)

// Way is an entry by which somebody would give what is lacking.
type Way struct {
	Kind  journal.Kind
	About journal.Subject
}

// Ways are the entries by which somebody would give what a statement lacks: that of a
// thing of the register which proves nothing as it stands, then that of the work. What
// is met lacks nothing.
func (s Statement) Ways() (list []Way) {
	if s.Met == Yes {
		return nil
	}
	if w, ok := s.ofThing(); ok {
		list = append(list, w)
	}
	if is, ok := s.Result.(bleed.State); ok && s.Quantity == BleedNeeded {
		return append(list, s.corners(is)...)
	}
	if k := s.ofWork(); k != "" {
		list = append(list, Way{k, s.worked()})
	}
	return list
}

// corners are the ones that still have to be bled, and those where a line is open.
func (s Statement) corners(is bleed.State) (list []Way) {
	at := func(k journal.Kind, c bleed.Corner) {
		list = append(list, Way{k, journal.About(s.About.Job(), journal.Corner(c), "")})
	}
	for _, o := range is.Open {
		at(journal.LineConnected, o.Corner)
	}
	for _, n := range is.Need {
		at(journal.BleedDone, n.Corner)
	}
	return list
}

// ofThing is what the register would have to say for the statement to be proven.
func (s Statement) ofThing() (Way, bool) {
	switch s.Because {
	case NoContainer:
		return registered(journal.FluidOpened, "fluid", s.Of), true
	case NoReceipt, NoSchedule:
		if s.Quantity == Powder {
			return registered(journal.PowderReceived, "lot", s.Value), true
		}
	case BadSchedule:
		return registered(journal.PowderReceived, "lot", s.Has("lot")), true
	case OtherJoint, OtherVehicle:
		return registered(journal.SpecRecorded, "spec", s.Has("spec")), true
	case NoVerdict:
		if s.Quantity == JointTorque && s.Limit == (Limit{}) {
			return registered(journal.SpecRecorded, "spec", journal.Unnamed), true
		}
	}
	if s.Tool == nil || s.Tool.ID == "" || s.Tool.Doubt == NoDoubt || s.Because != s.Tool.cause() {
		return Way{}, false
	}
	kind := journal.ToolChecked
	if s.Tool.Stated == nil {
		kind = journal.ToolRegistered
	}
	return registered(kind, "tool", string(s.Tool.ID)), true
}

func registered(kind journal.Kind, word, name string) Way {
	return Way{kind, journal.Of(word, name)}
}

// ofWork is the kind of entry by which the work itself would be written.
func (s Statement) ofWork() journal.Kind {
	switch {
	case s.Because == NotPhotographed, s.Because == NoPhotograph:
		return journal.PhotoTaken
	case s.Because == InOven:
		return journal.ProbeLogged
	case s.Quantity == JointTorque && OfWheel(s.Of):
		return journal.WheelFitted
	case s.Because == NotOff:
		return journal.PartRemoved
	case s.Because == RefusedByOtherName, s.Because == NothingInstead:
		return journal.PartTagged
	}
	if k := answering()[s.Quantity]; k != "" {
		return k
	}
	return again()[s.Quantity]
}

// again has the kinds of what has to be done again to put quantities right that are
// found by the way, and that no entry is written for.
func again() map[Quantity]journal.Kind {
	return map[Quantity]journal.Kind{
		StepOrder: journal.PowderApplied, DewMargin: journal.PowderApplied, PowderFresh: journal.PowderApplied, BlastToPowder: journal.PartBlasted, SoakToPowder: journal.PartSoaked,
		HeatDose: journal.BakeStarted, Overbake: journal.DefectFound, PartsBack: journal.PartRefitted,
		Fluid: journal.BleedDone, FluidOpenDays: journal.BleedDone, FluidUseBy: journal.BleedDone, FluidMix: journal.BleedDone, BleedOrder: journal.BleedDone,
		FluidBalance: journal.ReservoirTopped, LevelAtMin: journal.ReservoirTopped, Lamp: journal.ParkbrakeServiced,
	}
}

// worked is what the work would be written about: the part, where a corner's statement
// names one.
func (s Statement) worked() journal.Subject {
	switch {
	case s.Of == "":
	case s.Quantity == PartsBack && s.About.Corner() != "":
		return journal.About(s.About.Job(), s.About.Corner(), journal.PartID(s.Of))
	case s.Quantity == BleedNeeded:
		return journal.About(s.About.Job(), journal.Corner(s.Of), "")
	}
	return s.About
}
