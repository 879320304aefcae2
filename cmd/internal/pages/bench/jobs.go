package bench

import (
	"bytes"
	"cmp"
	"net/http"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// onHand is what the first page shows.
type onHand struct {
	Shop       string
	Jobs       []jobRow
	More       int // open jobs beyond those listed
	Lately     []jobRow
	Runs       []runRow
	Unfinished []draft.Item
	By         journal.PersonID
}

// jobRow is a job in a list.
type jobRow struct {
	Job    *record.Job
	Plate  string
	Looks  string
	Wish   string
	Next   string // the most urgent thing to do, in a sentence
	Path   string // where it is done
	Urgent bool
	Photos int // photographs that must be taken now
	Broken int // holds that are broken
	Met    int // stages stamped
	All    int // stages
}

// runRow is a bake or a soak that goes on.
type runRow struct {
	Run   *record.Run
	Since journal.Stamp
	Parts []journal.Subject
	Jobs  []string
}

// lately is how many jobs that were handed back the first page lists.
const lately = 5

func (b *Bench) jobs(w http.ResponseWriter, r *http.Request) {
	s := b.Live.Now()
	open := s.Open(0)
	d := onHand{Shop: s.Shop.Name, By: b.By(r), Runs: running(s), Unfinished: b.Drafts.List(b.By(r)), More: max(0, len(open)-live.Listed)}
	for _, j := range open[:min(len(open), live.Listed)] {
		d.Jobs = append(d.Jobs, row(s.Standing(j.ID)))
	}
	for _, j := range handedBack(s.Shop.Jobs) {
		d.Lately = append(d.Lately, jobRow{Job: j, Plate: j.Name(), Looks: looks(j)})
	}
	b.show(w, r, http.StatusOK, "jobs", pages.View{Title: "Jobs on hand", Data: d, Live: true})
}

func row(st *live.Standing) jobRow {
	j := st.Job
	d := jobRow{Job: j, Plate: j.Name(), Looks: looks(j), Wish: j.Stated.Wish, Path: "/job/" + string(j.ID)}
	for _, t := range st.Next {
		if t.Task == route.Photograph && t.Urgent {
			d.Photos++
		}
		if t.Task == route.PutRight {
			d.Broken++
		}
	}
	if len(st.Next) > 0 && st.Next[0].Task != route.TooLate {
		first := need(st.Card, st.Next[0])
		d.Next, d.Urgent = first.Place+" · "+first.Head, first.Urgent
		if first.Task == route.Photograph {
			d.Next = first.Place + " · photograph " + first.Head
		}
	}
	for _, row := range st.Rows {
		for _, q := range row.Squares {
			d.All++
			if q.State == route.Met || q.State == route.Waived {
				d.Met++
			}
		}
	}
	return d
}

// looks is what the vehicle looks like, or why that is not known.
func looks(j *record.Job) string {
	if j.Stated == nil {
		return string(j.State)
	}
	return j.Looks()
}

// handedBack returns the jobs that were handed back last.
func handedBack(jobs []*record.Job) []*record.Job {
	var list []*record.Job
	for _, j := range jobs {
		if j.Released != nil && j.Opened != nil {
			list = append(list, j)
		}
	}
	slices.SortFunc(list, func(a, b *record.Job) int { return -bytes.Compare(a.Released.ID[:], b.Released.ID[:]) })
	return list[:min(len(list), lately)]
}

// running lists the bakes that were started and not ended, the newest first.
func running(s *live.Snapshot) []runRow {
	var list []runRow
	for _, run := range s.Shop.Runs {
		var begun *record.Line
		ended := false
		for _, l := range run.Lines {
			switch l.Effect().(type) {
			case *journal.BakeStart:
				begun = l
			case *journal.Cure, *journal.Cooling:
				ended = true
			}
		}
		if begun == nil || ended || !slices.ContainsFunc(run.Jobs, func(j *record.Job) bool { return j.State == record.Open }) {
			continue
		}
		row := runRow{Run: run, Since: begun.Clocks.Device, Parts: run.Parts}
		for _, j := range run.Jobs {
			row.Jobs = append(row.Jobs, j.Name())
		}
		list = append(list, row)
	}
	slices.SortFunc(list, func(a, b runRow) int { return -cmp.Compare(a.Since.String(), b.Since.String()) })
	return list
}
