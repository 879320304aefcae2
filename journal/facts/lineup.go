package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// SeenBefore is the photograph with which a new one of a place can be lined up: the
// last of the same role there, else one of how the place came in. It is nil if
// there is none that can be looked at. Same reports whether the role is the same.
func (s *Stock) SeenBefore(job *record.Job, at journal.Subject, role string) (p *Sight, same bool) {
	here := s.events(job.Timeline())
	for _, e := range slices.Backward(here) {
		for _, sight := range slices.Backward(Sights(e.Line)) {
			if role != "" && e.Line.Subject == at && sight.Withdrawn.IsZero() && SameRole(sight.Role, role) {
				return &sight, true
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
		if p := pick(near, false, cameIn()...); p != nil && p.Withdrawn.IsZero() {
			return p, false
		}
	}
	return nil, false
}
