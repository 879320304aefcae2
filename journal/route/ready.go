package route

import (
	"fmt"
	"time"

	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// ready is the day that was promised, as something that is owed: it is due when
// the day begins where it was promised. ok is false if none was.
func ready(job *record.Job, at time.Time) (f FollowUp, ok bool) {
	if job.Promised == nil {
		return f, false
	}
	due := facts.DueOn(job.Ready, time.Time(job.Promised.Clocks.Device))
	if due.IsZero() {
		return f, false
	}
	f = FollowUp{Name: "ready", Title: "Have the vehicle ready", Due: due.On, State: Pending, Source: "promised to the customer"}
	f.Say = fmt.Sprintf("%s: promised for %s", f.Title, job.Units().Writing.Day(due.On))
	switch {
	case job.Released != nil:
		f.State, f.By = Kept, job.Released.ID
		f.Say += ", handed back on " + job.Released.Clocks.Device.Said(job.Units().Writing)
	case facts.DueOn(job.Ready, at).Past():
		f.State = Due
		f.Say += ", and that day is past"
	case !at.Before(f.Due):
		f.State = Due
	}
	return f, true
}
