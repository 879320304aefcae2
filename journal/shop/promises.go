package shop

import (
	"cmp"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// Promise is a promise to a customer, with its job.
type Promise struct {
	Job *record.Job
	route.FollowUp
}

const (
	mostPromises = 500 // jobs with promises are looked at
	latelyKept   = 100 // jobs whose kept promises are listed too
	endOfTime    = 1<<63 - 1
)

// Promises lists what was promised for the time after handover as it stands at
// a time, the earliest first: those that are open, and with all the kept ones
// of the jobs that were handed back last. It folds all jobs with an open one.
func (v *View) Promises(at time.Time, all bool) []Promise {
	jobs := homes(v.promised(endOfTime))
	if all {
		for _, j := range v.HandedBack(latelyKept) {
			jobs = append(jobs, j.ID)
		}
	}
	return v.promisesOf(jobs, at, func(f route.FollowUp) bool { return all || f.State != route.Kept })
}

// Owed is a page of the jobs with an open promise, those first whose promise is due
// first, and how many such jobs there are: their open promises, the earliest
// first.
func (v *View) Owed(at time.Time, from, most int) (list []Promise, jobs int) {
	rows := v.promised(endOfTime)
	jobs = len(rows)
	rows = rows[min(from, jobs):min(from+most, jobs)]
	return v.promisesOf(homes(rows), at, open), jobs
}

// KeptLately lists the kept promises of so many jobs that were handed back last.
func (v *View) KeptLately(at time.Time, most int) []Promise {
	var jobs []journal.JobID
	for _, j := range v.HandedBack(most) {
		jobs = append(jobs, j.ID)
	}
	return v.promisesOf(jobs, at, func(f route.FollowUp) bool { return f.State == route.Kept })
}

// Pressing lists the promises that are due by the end of the day, the earliest
// first: of every job with a complaint that waits for a decision, or with
// something of which the customer has to be told, and of so many others, those
// whose promise came to be due last. More is how many other jobs there are.
func (v *View) Pressing(at time.Time, most int) (list []Promise, more int) {
	var first, others []index.Summary
	for _, r := range v.promised(endOfDay(at)) {
		if s := v.read(r); s.Claims+s.Recalls > 0 {
			first = append(first, r)
		} else {
			others = append(others, r)
		}
	}
	more = max(0, len(others)-most)
	due := endOfDay(at)
	return v.promisesOf(homes(append(first, others[more:]...)), at, func(f route.FollowUp) bool { return open(f) && f.Due.UnixMilli() <= due }), more
}

// Waiting lists the jobs that a complaint brings back, or something of which the
// customer has to be told.
func (v *View) Waiting() (list []Summary) {
	for _, r := range v.promised(endOfTime) {
		if s := v.read(r); s.Claims+s.Recalls > 0 {
			list = append(list, s)
		}
	}
	return list
}

func open(f route.FollowUp) bool { return f.State != route.Kept }

// endOfDay is the last moment of the day of a time, in milliseconds.
func endOfDay(at time.Time) int64 {
	y, m, d := at.Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, at.Location()).UnixMilli() - 1
}

// promised lists the jobs with a promise that is due by then.
func (v *View) promised(by int64) []index.Summary {
	v.settle()
	rows, err := v.shop.index.Promises(v.ctx, by, mostPromises)
	v.note(err)
	return rows
}

func homes(rows []index.Summary) (list []journal.JobID) {
	for _, r := range rows {
		list = append(list, r.Home.Job())
	}
	return list
}

// promisesOf lists promises of jobs, the earliest first.
func (v *View) promisesOf(jobs []journal.JobID, at time.Time, wanted func(route.FollowUp) bool) []Promise {
	var list []Promise
	seen := make(map[journal.JobID]bool)
	for _, id := range jobs {
		if seen[id] {
			continue
		}
		seen[id] = true
		st := v.Standing(id)
		if st == nil {
			continue
		}
		for _, f := range route.FollowUps(st.Card, st.Job, at) {
			if wanted(f) {
				list = append(list, Promise{Job: st.Job, FollowUp: f})
			}
		}
	}
	slices.SortFunc(list, func(a, b Promise) int {
		return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Job.ID, b.Job.ID), cmp.Compare(a.Name, b.Name))
	})
	return list
}
