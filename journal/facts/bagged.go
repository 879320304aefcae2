package facts

import (
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// InBag lists what was put into the bag of a corner, in the order in which it was
// written.
func InBag(job *record.Job, corner journal.Corner) (list []journal.Item) {
	for _, l := range job.Timeline() {
		if b, ok := l.Effect().(*journal.Bagging); ok && l.Subject.Corner() == corner {
			list = append(list, b.Items...)
		}
	}
	return list
}
