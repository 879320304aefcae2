package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Picture is a photograph with the entry that it came with.
type Picture struct {
	record.Photo
	Line *record.Line
}

// CameIn are the entries whose photographs show a place as it was before the work,
// the best first.
func CameIn() []journal.Kind {
	return []journal.Kind{journal.PartRemoved, journal.VehicleReceived, journal.PartTagged, journal.HardwareBagged, journal.LineOpened}
}

// WentBack are the entries whose photographs show a place after the work, the best
// first.
func WentBack() []journal.Kind {
	return []journal.Kind{journal.PartRefitted, journal.WheelFitted, journal.TorqueApplied}
}

// Shown chooses a photograph: of the kinds the first that has any, and there the
// first or the last one. One that was withdrawn is chosen only where there is no
// other. It is nil if nobody took one.
func Shown(events []Event, kinds []journal.Kind, last bool) *Picture {
	var all []Picture
	for _, kind := range kinds {
		var list []Picture
		for _, e := range events {
			if e.Data.Kind() != kind {
				continue
			}
			for _, p := range e.Line.Photos {
				list = append(list, Picture{p, e.Line})
			}
		}
		if last {
			slices.Reverse(list)
		}
		all = append(all, list...)
	}
	for i := range all {
		if all[i].Withdrawn.IsZero() {
			return &all[i]
		}
	}
	if len(all) > 0 {
		return &all[0]
	}
	return nil
}

// SeenBefore is the photograph with which a new one of a place can be lined up: the
// last of the same role there, else one of how the place came in. It is nil if
// there is none that can be looked at. Same reports whether the role is the same.
func (s *Stock) SeenBefore(job *record.Job, at journal.Subject, role string) (p *Picture, same bool) {
	here := s.events(job.Timeline())
	for _, e := range slices.Backward(here) {
		for _, photo := range slices.Backward(e.Line.Photos) {
			if role != "" && e.Line.Subject == at && photo.Withdrawn.IsZero() && SameRole(photo.Role, role) {
				return &Picture{photo, e.Line}, true
			}
		}
	}
	// A part is looked for by itself before its corner is, and the car stands for
	// itself alone: a picture of all of it shows no corner.
	places := []journal.Subject{at}
	if at.Part() != "" {
		places = append(places, journal.About(at.Job(), at.Corner(), ""))
	}
	for _, place := range places {
		near := slices.DeleteFunc(slices.Clone(here), func(e Event) bool {
			return e.Line.Subject != place && (place.Corner() == "" || !Covers(place, e.Line.Subject))
		})
		if p := Shown(near, CameIn(), false); p != nil && p.Withdrawn.IsZero() {
			return p, false
		}
	}
	return nil, false
}
