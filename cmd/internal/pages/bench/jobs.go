package bench

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
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
	Unmet      bool // the hub has not answered since the tablet was started
	Writing    words.Writing
	Clock      string // how far the tablet's clock is off, if people have to set it
	Desk       string // of the hub in the same process, for this machine's own browser
}

// jobRow is a job in a list.
type jobRow struct {
	Job     *record.Job
	Plate   string
	Looks   string
	Wish    string
	Ready   string // the day by which it is promised
	Drive   string // why it is not to be driven
	Next    string // the most urgent thing to do, in a sentence
	Path    string // where it is done
	Urgent  bool
	Photos  int // photographs that must be taken now
	Broken  int // holds that are broken
	InDoubt int // holds that hang on an order that nobody knows
	Met     int // stages stamped
	All     int // stages
}

// stampSaid is a state in which some of a job's hold points stand, with how many.
type stampSaid struct {
	Stamp pages.Stamp
	Say   string
}

// Stamps are the states of a job that somebody has to do something about.
func (j jobRow) Stamps() (list []stampSaid) {
	if j.Broken > 0 {
		list = append(list, stampSaid{pages.Stamp{State: route.Broken}, fmt.Sprintf("%d broken", j.Broken)})
	}
	if j.InDoubt > 0 {
		list = append(list, stampSaid{pages.Stamp{State: route.InDoubt}, fmt.Sprintf("order in doubt: %d", j.InDoubt)})
	}
	return list
}

// runRow is a bake or a soak that goes on.
type runRow struct {
	Run   *record.Run
	Since *record.Line // with which it began
	Parts []journal.Subject
	Jobs  []string
}

// lately is how many jobs that were handed back the first page lists.
const lately = 5

func (b *Bench) jobs(w http.ResponseWriter, r *http.Request) {
	s := b.Live.View(r.Context())
	open := s.Open(live.Listed)
	d := onHand{Shop: s.Shop.Name, Writing: s.Shop.Writing(), By: b.By(r), Runs: running(s, open), Unfinished: b.Drafts.List(b.By(r)), More: max(0, s.Count(record.Open)-live.Listed)}
	if gate.Here(r) {
		d.Desk = b.Desk
	}
	d.Unmet = b.Standing().Connected.IsZero()
	if st := b.Standing(); !st.Connected.IsZero() && st.Skew.Abs() > offTooFar {
		d.Clock = off(st.Skew)
	}
	for _, j := range open {
		d.Jobs = append(d.Jobs, row(s.Standing(j.ID)))
	}
	for _, j := range s.HandedBack(lately) {
		d.Lately = append(d.Lately, jobRow{Job: j, Plate: j.Name(), Looks: looks(j)})
	}
	b.show(w, r, http.StatusOK, "jobs", pages.View{Title: "Jobs on hand", Data: d, Live: true})
}

func row(st *live.Standing) jobRow {
	j := st.Job
	d := jobRow{Job: j, Plate: j.Name(), Looks: looks(j), Wish: j.Stated.Wish, Ready: j.Ready.Said(j.Units().Writing), Drive: st.DoNotDrive(), Path: "/job/" + string(j.ID)}
	for _, t := range st.Next {
		if t.Task == route.Photograph && t.Urgent {
			d.Photos++
		}
		switch t.State {
		case route.Broken:
			d.Broken++
		case route.InDoubt:
			d.InDoubt++
		}
	}
	if len(st.Next) > 0 && st.Next[0].Task != route.TooLate {
		d.Next, d.Urgent = pages.Next(st.Next[0]), st.Next[0].Urgent
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

// running lists the bakes of open jobs that were started and not ended, the
// newest first.
func running(s *live.Snapshot, open []*record.Job) []runRow {
	var list []runRow
	seen := make(map[journal.RunID]bool)
	for _, j := range open {
		for _, c := range j.Corners {
			for _, p := range c.Parts {
				for _, run := range p.Runs {
					if begun := inOven(run); begun != nil && !seen[run.ID] {
						seen[run.ID] = true
						list = append(list, newRunRow(s, run, begun))
					}
				}
			}
		}
	}
	slices.SortFunc(list, func(a, b runRow) int {
		return -cmp.Compare(a.Since.Clocks.Device.String(), b.Since.Clocks.Device.String())
	})
	return list
}

// inOven returns the line with which a bake began that goes on; nil of others.
func inOven(run *record.Run) (begun *record.Line) {
	for _, l := range run.Lines {
		switch l.Effect().(type) {
		case *journal.BakeStart:
			begun = l
		case *journal.Cure, *journal.Cooling:
			return nil
		}
	}
	return begun
}

func newRunRow(s *live.Snapshot, run *record.Run, begun *record.Line) runRow {
	row := runRow{Run: run, Since: begun, Parts: run.Parts}
	var jobs []journal.JobID
	for _, p := range run.Parts {
		if j := s.Job(p.Job()); j != nil && !slices.Contains(jobs, j.ID) {
			jobs = append(jobs, j.ID)
			row.Jobs = append(row.Jobs, j.Name())
		}
	}
	return row
}
