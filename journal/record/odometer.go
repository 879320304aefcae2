package record

import (
	"iter"

	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
)

// Reading is what the odometer of a vehicle showed, and where that is written.
type Reading struct {
	Odometer unit.Distance // zero if nobody wrote it
	Line     *Line
}

// Reading returns what the odometer showed last in the job, by the order of its lines.
func (j *Job) Reading() (last Reading) {
	for last = range j.readings() {
	}
	return last
}

// readings are those of the job, in the order of its lines.
func (j *Job) readings() iter.Seq[Reading] {
	return func(yield func(Reading) bool) {
		for _, l := range j.Lines {
			var shows unit.Distance
			switch p := l.Effect().(type) {
			case *journal.Job:
				shows = p.Odometer
			case *journal.Arrival:
				shows = p.Odometer
			case *journal.Release:
				shows = p.Odometer
			case *journal.Claim:
				shows = p.Odometer
			}
			if !shows.IsZero() && !yield(Reading{shows, l}) {
				return
			}
		}
	}
}
