package shop

import (
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"

	"errors"
)

// Case is the record of one home: of a job, of a run with all its jobs, or of
// a thing of the register. It is never changed and is safe for concurrent use.
type Case struct {
	Home journal.Subject
	Shop *record.Shop // what its entries tell, within the register as it was then

	asked questions
	size  int // entries

	shelf *card.Shelf
	mu    sync.Mutex
	jobs  map[journal.JobID]*Standing
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

// Standing returns how a job of the case stands, or nil if it is not in it.
// It is worked out once.
func (c *Case) Standing(id journal.JobID) *Standing {
	j := c.Shop.Job(id)
	if j == nil {
		return nil
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if st := c.jobs[id]; st != nil {
		return st
	}
	if c.jobs == nil {
		c.jobs = make(map[journal.JobID]*Standing)
	}
	c.jobs[id] = stand(j, c.Shop, c.shelf)
	return c.jobs[id]
}

func stand(j *record.Job, in *record.Shop, shelf *card.Shelf) *Standing {
	// Without its card a job can be looked at all the same.
	by, err := route.Pinned(shelf, j, in)
	if err != nil && !errors.Is(err, card.ErrNoCard) {
		by = nil
	}
	st := &Standing{Job: j, Card: by}
	held := route.Hold(by, j, facts.StockOf(in))
	st.Rows, st.Next, st.Verdicts, st.Ignorance = held.Grid(), held.Next(), held.Check(), held.Ignorance()
	return st
}
