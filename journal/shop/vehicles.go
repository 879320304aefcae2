package shop

import (
	"cmp"
	"slices"
	"time"

	"fettlebook/journal/record"
)

// Listed is a vehicle in a list, as the summaries of its jobs tell of it.
type Listed struct {
	record.Vehicle              // without jobs and notes
	Count          int          // of its jobs
	State          record.State // of the newest
	Opened         time.Time    // the newest
}

// everyJob is more jobs than a shop has.
const everyJob = 1 << 30

// Vehicles lists all vehicles, the one that was here last first.
func (v *View) Vehicles() []*Listed {
	by := make(map[record.Key]*Listed)
	var list []*Listed
	jobs := v.Summaries(everyJob, record.Open, record.HandedBack, record.Sealed)
	slices.SortFunc(jobs, func(a, b Summary) int {
		return cmp.Or(time.Time(a.Opened).Compare(time.Time(b.Opened)), cmp.Compare(a.Job, b.Job))
	})
	for _, j := range jobs {
		if j.Vehicle == "" {
			continue
		}
		l := by[j.Vehicle]
		if l == nil {
			l = new(Listed)
			l.Key = j.Vehicle
			by[j.Vehicle] = l
			list = append(list, l)
		}
		l.Add(j.VIN, j.Plate, j.Looks)
		l.Count, l.State, l.Opened = l.Count+1, j.State, time.Time(j.Opened)
	}
	slices.SortStableFunc(list, func(a, b *Listed) int { return b.Opened.Compare(a.Opened) })
	return list
}
