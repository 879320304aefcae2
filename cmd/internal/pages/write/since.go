package write

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Whoever stamps an entry says that it comes after all that is in the record
// of its job. So a page carries how much of each log it was drawn from, and a
// stamp is refused once, with what came since: the page that says so is drawn
// from that too.

// extent is how many entries of each log a page was drawn from, as far as they
// are on the jobs of its entry.
type extent map[journal.DeviceID]int64

// String is as it stands in a form: bench-1:12,bench-2:40.
func (d extent) String() string {
	var list []string
	for device, n := range d {
		list = append(list, string(device)+":"+strconv.FormatInt(n, 10))
	}
	slices.Sort(list)
	return strings.Join(list, ",")
}

// parseDrawn reads it back. What makes no sense was not seen.
func parseDrawn(text string) extent {
	d := make(extent)
	for one := range strings.SplitSeq(text, ",") {
		if device, n, ok := strings.Cut(one, ":"); ok {
			d[journal.DeviceID(device)], _ = strconv.ParseInt(n, 10, 64)
		}
	}
	return d
}

// on lists all jobs that an entry may be about: its own, those of its run, or those
// that a run can take parts of.
func (t *task) on() []*record.Job {
	run := t.snap.Run(t.subject.Run())
	switch job := t.snap.Job(t.subject.Job()); {
	case t.rack:
		return t.snap.Open(live.Listed)
	case run != nil:
		return run.Jobs
	case job != nil:
		return []*record.Job{job}
	}
	return nil
}

// drawn is what the page of a task is drawn from.
func (t *task) drawn() extent {
	d := make(extent)
	for _, j := range t.on() {
		for _, l := range j.Timeline() {
			at := l.Position()
			d[at.Device] = max(d[at.Device], at.Index+1)
		}
	}
	return d
}

// since lists what came on the jobs of an entry after its page was drawn, in
// the order of replay. Where parts are ticked, these are the jobs of those parts.
func (t *task) since(d extent, about []journal.Subject) (list []*record.Line) {
	for _, j := range t.on() {
		if len(about) > 0 && !slices.ContainsFunc(about, func(s journal.Subject) bool { return s.Job() == j.ID }) {
			continue
		}
		for _, l := range j.Timeline() {
			at := l.Position()
			if l.Counts() && at.Index >= d[at.Device] && !slices.Contains(list, l) {
				list = append(list, l)
			}
		}
	}
	return list
}

// sinceShown is how many entries that came since are shown.
const sinceShown = 6

// sincePart is what came since the page was drawn.
type sincePart struct {
	Lines []line
	More  int
}

// Says is the sentence over it.
func (p *sincePart) Says() string {
	n := len(p.Lines) + p.More
	return fmt.Sprintf("%s on this job came after this page was opened.", words.Count(n, "entry"))
}

// came makes what came since ready to be shown, the newest first.
func (w *Writer) came(t *task, list []*record.Line) *sincePart {
	if len(list) == 0 {
		return nil
	}
	p := &sincePart{More: max(0, len(list)-sinceShown)}
	for _, l := range slices.Backward(list) {
		if len(p.Lines) < sinceShown {
			one := w.line(t.snap.Shop, l)
			one.Correct = ""
			p.Lines = append(p.Lines, one)
		}
	}
	return p
}
