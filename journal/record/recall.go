package record

import (
	"time"

	"fettlebook/journal"
)

// Recalled is a recall of something that a job used while it is meant.
type Recalled struct {
	Line *Line
	Of   journal.Subject
	Said *journal.Recall
}

// Recalled lists the recalls of what the job used, in the order in which it
// used it.
func (j *Job) Recalled() []Recalled {
	var list []Recalled
	seen := make(map[*Line]bool)
	for _, l := range j.Timeline() {
		data := l.Effect()
		if data == nil {
			continue
		}
		day := journal.Date(time.Time(l.Clocks.Device).Format(time.DateOnly))
		for _, u := range journal.Uses(data) {
			for _, at := range j.shop.Registered(u.Of) {
				if r, ok := at.Effect().(*journal.Recall); ok && !seen[at] && r.Meant(day) {
					seen[at] = true
					list = append(list, Recalled{at, u.Of, r})
				}
			}
		}
	}
	return list
}

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
