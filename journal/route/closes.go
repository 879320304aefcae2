package route

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
)

// Closes lists what a stage at a place puts out of sight that has no photograph,
// is not written down or is not proven yet: of the stages before it, back to the
// one that put something out of sight at the same thing before. It is nil for a
// stage that closes nothing off.
func Closes(by *card.Card, rows []Row, stage string, about journal.Subject) (list []Todo) {
	last := slices.IndexFunc(rows, func(r Row) bool { return r.Stage.Name == stage })
	if by == nil || last < 0 || !rows[last].Stage.OutOfSight {
		return nil
	}
	for i, row := range rows[:last] {
		for _, q := range row.Squares {
			if q.around(about) && !slices.ContainsFunc(rows[i+1:last], func(r Row) bool { return r.hides(q.Subject) }) {
				list = append(list, q.lacking(row.Stage)...)
			}
		}
	}
	return list
}

// around reports whether a square is of what a subject is, holds or lies in.
func (s *Square) around(about journal.Subject) bool {
	return facts.Covers(s.Subject, about) || facts.Covers(about, s.Subject)
}

// hides reports whether a stage puts something out of sight at a subject.
func (r Row) hides(about journal.Subject) bool {
	return r.Stage.OutOfSight && slices.ContainsFunc(r.Squares, func(q Square) bool { return q.around(about) })
}

// lacking is what of a stage is neither shown, nor written down, nor proven. What
// a hold is judged by later is not missing yet.
func (s *Square) lacking(stage *card.Stage) (list []Todo) {
	for _, shows := range s.Blind {
		t := Todo{Subject: s.Subject, Stage: stage.Name, Task: Photograph, Kind: journal.PhotoTaken, Shows: shows, Say: stage.Title + ": photograph " + shows}
		for _, p := range stage.Photos {
			if p.Shows == shows && slices.Contains(s.Lacks, p.On) {
				t.Kind = p.On
			}
		}
		list = append(list, t)
	}
	for _, k := range s.Lacks {
		what := "write down " + k.Told()
		list = append(list, Todo{Subject: s.Subject, Stage: stage.Name, Task: WriteDown, Kind: k, Say: stage.Title + ": " + what, head: stage.Title, what: what})
	}
	for i := range s.Holds {
		v := &s.Holds[i]
		t := Todo{Subject: s.Subject, Stage: stage.Name, Task: StillOpen, Kind: v.Answer(stage), Hold: v.Hold, State: v.State, Urgent: v.Class == card.Safety, Say: v.Title + ": " + v.Why, verdict: v}
		switch {
		case v.State == Broken, v.State == InDoubt:
			t.Task = PutRight
		case v.State != Open || v.early || len(s.Lacks) > 0: // which says it already
			continue
		}
		list = append(list, t)
	}
	return list
}
