package record

import "fettlebook/journal"

// Registered returns what the register says of a thing, such as tool/tw-1, in
// the order of replay.
func (s *Shop) Registered(thing journal.Subject) []*Line {
	switch id := thing.Last(); thing.Word() {
	case "tool":
		return linesOf(s.Tools, journal.ToolID(id))
	case "lot":
		return linesOf(s.Lots, journal.LotID(id))
	case "fluid":
		return linesOf(s.Fluids, journal.FluidID(id))
	case "kit":
		return linesOf(s.Kits, journal.KitID(id))
	case "spec":
		return linesOf(s.Specs, journal.SpecID(id))
	}
	return nil
}

// linesOf returns the lines of a thing of the register.
func linesOf[ID ~string, P any](list []*Registered[ID, P], id ID) []*Line {
	for _, t := range list {
		if t.ID == id {
			return t.Lines
		}
	}
	return nil
}
