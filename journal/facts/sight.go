package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Sight is a photograph with the entry that it came with.
type Sight struct {
	record.Photo
	Line *record.Line
	At   int // which of the photographs of its entry, from 0
}

// Is reports whether it is the same photograph of the same entry.
func (s Sight) Is(o Sight) bool { return s.Line == o.Line && s.At == o.At }

// Sights are the photographs of an entry.
func Sights(l *record.Line) (list []Sight) {
	for i, p := range l.Photos {
		list = append(list, Sight{p, l, i})
	}
	return list
}

// Pair is how a place looked before the work and after it; nil where nobody took
// a photograph.
type Pair struct {
	About         journal.Subject
	Before, After *Sight
}

// mostLoose is of how many parts that came without their vehicle each is shown.
const mostLoose = 4

// Pairs show each corner that something was done at, or the first of the parts
// that came without their vehicle.
func (w *Job) Pairs() (list []Pair) {
	places := slices.DeleteFunc(slices.Clone(w.Corners), (*Site).Untouched)
	if len(places) == 0 {
		places = w.Parts[:min(len(w.Parts), mostLoose)]
	}
	for _, s := range places {
		list = append(list, s.Pair())
	}
	return list
}

// SameSpot shows the place that a subject is about: a part if there are
// photographs of it before and after, else its corner. It is zero of the vehicle,
// which is many places.
func (w *Job) SameSpot(about journal.Subject) Pair {
	for _, list := range [][]*Site{w.Parts, w.Corners} {
		for _, s := range list {
			if !Covers(s.Subject, about) {
				continue
			}
			if p := s.Pair(); p.Before != nil && p.After != nil || s.part == nil {
				return p
			}
		}
	}
	return Pair{}
}

// Pair shows the place before the work and after it, by the entries whose
// photographs show it best.
func (s *Site) Pair() Pair {
	events := s.Events()
	return Pair{About: s.Subject, Before: pick(events, false, cameIn()...), After: pick(events, true, WentBack()...)}
}

// cameIn are the entries whose photographs show a place before the work, the best
// first.
func cameIn() []journal.Kind {
	return []journal.Kind{journal.PartRemoved, journal.VehicleReceived, journal.PartTagged, journal.HardwareBagged, journal.LineOpened}
}

// WentBack are the entries whose photographs show a place after the work, the best
// first.
func WentBack() []journal.Kind {
	return []journal.Kind{journal.PartRefitted, journal.WheelFitted, journal.TorqueApplied}
}

// pick chooses a photograph: of the kinds the first that has any, and there the
// first or the last one. One that was withdrawn is chosen only where there is no
// other.
func pick(events []Event, last bool, kinds ...journal.Kind) *Sight {
	var all []Sight
	for _, kind := range kinds {
		var list []Sight
		for _, e := range events {
			if e.Data.Kind() == kind {
				list = append(list, Sights(e.Line)...)
			}
		}
		if last {
			slices.Reverse(list)
		}
		all = append(all, list...)
	}
	if i := slices.IndexFunc(all, func(s Sight) bool { return s.Withdrawn.IsZero() }); i >= 0 {
		return &all[i]
	}
	if len(all) > 0 {
		return &all[0]
	}
	return nil
}
