package facts

import "fettlebook/journal"

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
	case journal.PartStripped:
		return f.Coat.Wanted
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
