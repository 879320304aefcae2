package write

import (
	"slices"
	"strconv"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// countedName is the field in which the page of a corner's bag ticks what is back on the
// vehicle: each piece by its place in the list.
const countedName = "counted"

// countedBack begins the remark of a photograph with what was ticked off a bag. The
// photograph of the empty bag is what counts; the remark says what came out of it, and
// what nobody ticked.
func (t *task) countedBack(s *live.Snapshot, ticked []string) {
	job := s.Job(t.subject.Job())
	if t.kind != journal.PhotoTaken || len(ticked) == 0 || job == nil {
		return
	}
	var back, rest []string
	for i, item := range facts.InBag(job, t.subject.Corner()) {
		if one := words.Count(item.Count, item.What); slices.Contains(ticked, strconv.Itoa(i)) {
			back = append(back, one)
		} else {
			rest = append(rest, one)
		}
	}
	if len(back) == 0 {
		return
	}
	note := words.Clauses("out of the bag and back on the vehicle: "+words.Commas(back...), words.Fill("not ticked: %s", words.Commas(rest...)))
	if len(note) <= journal.MaxText {
		t.start[noteName] = []string{words.Sentence(note)}
	}
}
