package shop

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// Used is what a thing of the register was used for last, by what counts:
// struck entries are not uses.
type Used struct {
	Thing    journal.Subject
	Total    int            // uses in all the shop
	Lines    []*record.Line // the last of them, in the order of replay
	Parts    []journal.Subject
	Jobs     []*record.Job // in the order in which the lines come to them
	Vehicles int
}

// Used returns the last uses of a thing, such as tool/tw-1, at most so many.
func (v *View) Used(thing journal.Subject, most int) *Used {
	rows, total, err := v.shop.index.Using(v.ctx, thing, most)
	v.note(err)
	u := &Used{Thing: thing, Total: total, Lines: v.lines(rows)}
	for _, l := range u.Lines {
		u.use(v, l)
	}
	u.Vehicles = v.vehicles(u.Jobs)
	return u
}

func (u *Used) use(v *View, l *record.Line) {
	about := []journal.Subject{l.Subject}
	if c := v.Case(index.Home(l.Subject)); c != nil {
		if run := c.Shop.Run(l.Subject.Run()); run != nil {
			about = run.Parts
		}
	}
	for _, s := range about {
		if s.Part() != "" && !slices.Contains(u.Parts, s) {
			u.Parts = append(u.Parts, s)
		}
		if slices.ContainsFunc(u.Jobs, func(j *record.Job) bool { return j.ID == s.Job() }) {
			continue
		}
		if j := v.Job(s.Job()); j != nil {
			u.Jobs = append(u.Jobs, j)
		}
	}
}

// vehicles counts the vehicles of jobs.
func (v *View) vehicles(jobs []*record.Job) int {
	seen := make(map[record.Key]bool)
	for _, j := range jobs {
		if j.Vehicle != nil {
			seen[j.Vehicle.Key] = true
		}
	}
	return len(seen)
}

// VehiclesOf counts the vehicles whose parts took part in a run.
func (v *View) VehiclesOf(run *record.Run) int {
	seen := make(map[record.Key]bool)
	for _, p := range run.Parts {
		if s, ok := v.Summary(p.Job()); ok && s.Vehicle != "" {
			seen[s.Vehicle] = true
		}
	}
	return len(seen)
}
