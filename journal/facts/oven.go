package facts

import (
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// InOven is the bake that a part is in, by what is written of it; "" if it is in none.
func (s *Stock) InOven(job *record.Job, part journal.Subject) journal.RunID {
	for _, c := range newJob(nil, job, s).corners {
		for _, p := range c.parts {
			if p.part.Subject != part {
				continue
			}
			for _, b := range bakesIn(p.events) {
				if !b.over {
					return b.start.Line.Subject.Run()
				}
			}
		}
	}
	return ""
}
