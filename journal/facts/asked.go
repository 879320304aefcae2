package facts

import (
	"strings"

	"fettlebook/journal"
)

// Asks reports whether an entry of a kind would be true of the thing, as far as
// it is known: of a bracket that comes off beside a closed line nobody writes
// that the line was opened, and of a part that goes back without a coat nobody
// writes of powder.
func (s *Site) Asks(k journal.Kind) bool {
	switch {
	case s.Gone():
		return false
	case s.part != nil:
		return s.asksPart(k)
	case s.corner != nil:
		return s.asksCorner(k)
	}
	switch k {
	case journal.ReservoirTopped, journal.LeakChecked:
		return s.Scope.Vehicle.Bleed.Asked
	}
	return true
}

// First returns what is to be written about the vehicle before an entry of a
// kind, so that the entry does not come too early: which fluid the vehicle asks
// for before any is filled in, what parking brake it has and that an electric one is
// in service mode before a rear caliper comes off, a look at the reservoir before the first corner is
// bled, between every two, and after the last, and that the parking brake is out
// of service mode before the vehicle is driven.
func (s *Site) First(k journal.Kind) []journal.Kind {
	var list []journal.Kind
	switch {
	case k == journal.BleedDone && s.corner != nil:
		if !s.Scope.Vehicle.Fluid.Stated {
			list = append(list, journal.ManualRead)
		}
		if s.job.unlooked(s.Subject.Corner()) {
			list = append(list, journal.ReservoirTopped)
		}
	case k == journal.PartRemoved && s.corner != nil && strings.HasSuffix(string(s.Subject.Corner()), "R"):
		on := lastOf(s.job.all, mode(journal.ServiceModeOn))
		switch kind, _ := s.job.parkingKind(); {
		case on != nil:
		case kind == "":
			list = append(list, journal.ManualRead)
		case kind == journal.ElectricParking:
			list = append(list, journal.ParkbrakeServiced)
		}
	case k == journal.RoadTested:
		if p := s.Scope.Vehicle.Parking; p.Touched && p.Electric && !p.Out {
			list = append(list, journal.ParkbrakeServiced)
		}
	case k == journal.LeakChecked && s.Scope.Vehicle.Bleed.Begun:
		if s.job.unlooked("") {
			list = append(list, journal.ReservoirTopped)
		}
	}
	return list
}

// Waits reports whether an entry of a kind has its turn after the same at
// another corner: where the vehicle's order of bleeding is known, the next in it
// is bled.
func (s *Site) Waits(k journal.Kind) bool {
	if k != journal.BleedDone || s.corner == nil {
		return false
	}
	order, _, known := s.job.bleedOrder()
	for _, c := range order {
		if !known || string(c) == string(s.Subject.Corner()) {
			break
		}
		for _, o := range s.job.Corners {
			if string(c) == string(o.Subject.Corner()) && o.Asks(k) && !o.Scope.Corner.Bleed.Done {
				return true
			}
		}
	}
	return false
}

// Untouched reports whether nothing was done yet at a corner: no part is off,
// no line was opened, nothing was bled, and its wheel was not fitted.
func (s *Site) Untouched() bool {
	f := s.Scope.Corner
	return len(f.Parts.Names) == 0 && !f.Line.Touched && !f.Bleed.Begun && !f.Wheel.Off
}

func (s *Site) asksPart(k journal.Kind) bool {
	f := s.Scope.Part
	switch k {
	case journal.PartRemoved:
		return !s.part.standsIn()
	case journal.PartRefitted:
		return true
	case journal.BoreUnmasked:
		return f.Coat.Wanted || f.Mask.Done
	case journal.PartRebuilt:
		return f.Coat.Wanted || f.Strip.Begun
	case journal.PartStripped: // what came off no vehicle may have come without rubber, and its make-up says so
		told := s.part.has != nil || s.part.cameOff()
		return f.Coat.Wanted && told && !(s.part.cameBare() && f.Strip.Done)
	}
	return f.Coat.Wanted || !k.Is(journal.PerCoat) && k.Step() != journal.StepTest
}

func (s *Site) asksCorner(k journal.Kind) bool {
	f := s.Scope.Corner
	switch k {
	case journal.HardwareBagged, journal.TorqueApplied:
		return f.Line.Touched || len(f.Parts.Names) > 0
	case journal.PhotoTaken: // of the empty bag
		return len(f.Parts.Names) > 0
	case journal.WheelFitted:
		return f.Wheel.Off
	case journal.LineOpened, journal.LineConnected, journal.BleedDone:
		return f.Line.Touched || s.job.onLine(s.corner)
	case journal.WasherReplaced:
		return f.Washers.Needed && f.MakeUp.Line != string(journal.ByFlareNut)
	}
	return true
}
