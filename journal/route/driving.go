package route

import (
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// Driving states why a vehicle that is in the shop is not to be driven as it
// stands; nothing of one that may be, or that was handed back: what came of that
// is said by [Held.Ignorance]. It needs no card; without one, joints are not known.
func (c *Held) Driving() []facts.Statement {
	job := c.job
	switch {
	case c.record.State != record.Open:
		return nil
	case job == nil:
		job = c.stock.Job(new(card.Card), c.record)
	}
	return job.Driving()
}
