package live

import (
	"bytes"
	"errors"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// Listed is how many open jobs a page lists with what is to be done on them.
const Listed = 40

// Snapshot is the shop as it was folded at one moment. It is never changed
// and is safe for concurrent use.
type Snapshot struct {
	Shop   *record.Shop
	Stock  *facts.Stock // how the things of its register stand
	Serial uint64       // rises with every snapshot; 0 before the first read

	shelf *card.Shelf
	at    map[journal.JobID]func() *Standing // each worked out once, when first asked for
}

// Standing is how a job stands on its route card.
type Standing struct {
	Job      *record.Job
	Card     *card.Card // nil while it is not here
	Rows     []route.Row
	Next     []route.Todo
	Verdicts route.Verdicts
	// Ignorance are the safety holds that turned out unmet after handover.
	Ignorance []route.Ignorance
}

// Standing returns how a job stands, or nil if there is no such job.
func (s *Snapshot) Standing(id journal.JobID) *Standing {
	if f := s.at[id]; f != nil {
		return f()
	}
	return nil
}

func (s *Snapshot) stand(j *record.Job) *Standing {
	// Without its card a job can be looked at all the same.
	pinned, err := route.Pinned(s.shelf, j, s.Shop)
	st := &Standing{Job: j, Card: pinned}
	if err != nil && !errors.Is(err, card.ErrNoCard) {
		st.Card = nil
	}
	held := route.Hold(st.Card, j, s.Stock)
	st.Rows, st.Next, st.Verdicts, st.Ignorance = held.Grid(), held.Next(), held.Check(), held.Ignorance()
	return st
}

// Open returns the newest jobs that are on hand, at most so many; 0 means all.
func (s *Snapshot) Open(most int) []*record.Job {
	var list []*record.Job
	for _, j := range s.Shop.Jobs {
		if j.State == record.Open {
			list = append(list, j)
		}
	}
	slices.SortFunc(list, func(a, b *record.Job) int {
		return -bytes.Compare(a.Opened.ID[:], b.Opened.ID[:])
	})
	if most > 0 && len(list) > most {
		list = list[:most]
	}
	return list
}

// Promise is a promise to a customer, with its job.
type Promise struct {
	Job *record.Job
	route.FollowUp
}

// Promises lists what was promised for the time after handover as it stands at
// a time, the earliest first; kept ones too if all is set.
func (s *Snapshot) Promises(at time.Time, all bool) []Promise {
	var list []Promise
	for _, j := range s.Shop.Jobs {
		if j.Released == nil {
			continue
		}
		pinned, err := route.Pinned(s.shelf, j, s.Shop)
		if err != nil {
			continue // its pinned is not here, so nothing is known to be promised
		}
		for _, f := range route.FollowUps(pinned, j, at) {
			if all || f.State != route.Kept {
				list = append(list, Promise{Job: j, FollowUp: f})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Promise) int { return a.Due.Compare(b.Due) })
	return list
}
