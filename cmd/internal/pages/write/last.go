package write

import (
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// looked is how many jobs are looked through, from the newest on, for what was
// used last. A tool or a lot that nobody touched since is not in hand.
const looked = 12

// last returns the newest entry of a kind that a person wrote, or else that
// anybody did, in the same job and in the newest open ones.
func last(s *live.Snapshot, kind journal.Kind, about journal.Subject, by journal.PersonID) *record.Line {
	jobs := s.Open(looked)
	if own := s.Job(about.Job()); own != nil {
		jobs = append([]*record.Job{own}, slices.DeleteFunc(jobs, func(j *record.Job) bool { return j.ID == own.ID })...)
	}
	var mine, anyone *record.Line
	for _, j := range jobs {
		for _, l := range slices.Backward(j.Timeline()) {
			if l.Kind != kind || l.Effect() == nil {
				continue
			}
			if l.By == by {
				mine = newer(mine, l)
				break
			}
			anyone = newer(anyone, l)
		}
	}
	if mine != nil {
		return mine
	}
	return anyone
}

func newer(a, b *record.Line) *record.Line {
	if a == nil || b.ID.String() > a.ID.String() {
		return b
	}
	return a
}
