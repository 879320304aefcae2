package write

import (
	"fmt"
	"maps"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// foreseeCoat chooses the number of the coat: one more than are on the parts that are
// hung, if they agree.
func (t *task) foreseeCoat() {
	coats := -1
	for _, about := range chosen(t.start) {
		n, known := coatsOn(t.snap.Job(about.Job()), about)
		if !known || coats >= 0 && n != coats {
			return
		}
		coats = n
	}
	if coats >= 0 {
		t.choose("coat", strconv.Itoa(coats+1))
	}
}

// coatsOn is how many coats lie on a part. Whether a blast took them off or only roughened
// the last one is not known, so behind one nothing is.
func coatsOn(job *record.Job, about journal.Subject) (n int, known bool) {
	if job == nil {
		return 0, false
	}
	part, _ := job.Part(about)
	if part == nil {
		return 0, false
	}
	for _, l := range part.Timeline() {
		switch d := l.Effect().(type) {
		case *journal.Coating:
			n = max(n, d.Coat)
		case *journal.Blasting:
			if n > 0 {
				return 0, false
			}
		}
	}
	return n, true
}

// foreseeLot leaves the lot of the last time out where the customer wants the colour of
// another one.
func (t *task) foreseeLot(now time.Time) {
	own, _ := t.snap.Stock().Lot(journal.LotID(t.start.Get("lot")))
	for _, about := range chosen(t.start) {
		job := t.snap.Job(about.Job())
		if job == nil || job.Stated == nil || own == nil || names(job.Stated.Wish, own.Colour) {
			continue
		}
		for _, lot := range t.snap.Shop.Lots {
			if lot.Stated != nil && names(job.Stated.Wish, lot.Stated.Colour) && t.fit("lot", string(lot.ID), now) {
				delete(t.start, "lot")
				return
			}
		}
	}
}

func names(wish, colour string) bool {
	return colour != "" && strings.Contains(strings.ToLower(wish), strings.ToLower(colour))
}

// foreseeProbes hangs the recorder's channels where they were the last time: on the same
// part of the same corner, or on the one part of that name that is in this run.
func (t *task) foreseeProbes() {
	l := last(t.snap, t.kind, "", t.by)
	if l == nil {
		return
	}
	start, ok := l.Effect().(*journal.BakeStart)
	if !ok {
		return
	}
	hung := chosen(t.start)
	maps.DeleteFunc(t.start, func(name string, _ []string) bool { return strings.HasPrefix(name, "probes.") })
	n := 0
	for _, probe := range start.Probes {
		on, several := likePart(hung, probe.On)
		if probe.On != "" && on == "" && !several && len(hung) > 0 {
			continue // nothing in this run has its place
		}
		row := fmt.Sprintf("probes.%d.", n)
		t.choose(row+"channel", probe.Channel)
		t.choose(row+"place", probe.Place)
		t.choose(row+"on", string(on))
		n++
	}
}

// likePart is the part of a run that has the place of a part of another run. Where that may
// be any of several it is none of them.
func likePart(hung []journal.Subject, was journal.Subject) (is journal.Subject, several bool) {
	for _, about := range hung {
		switch {
		case card.Base(about.Part()) != card.Base(was.Part()):
		case about.Corner() == was.Corner():
			return about, false
		default:
			several = is != "" || several
			is = about
		}
	}
	if several {
		return "", true
	}
	return is, false
}
