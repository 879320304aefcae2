package readonly

import (
	"net/http"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// longest is how many lines a timeline may have before it is folded by stage.
const longest = 40

// Choice is one way to see a list.
type Choice struct {
	Link
	On bool
}

// Timeline is what happened in a job, oldest first: by day, or folded by stage.
type Timeline struct {
	Job                   journal.JobID
	Shown, All            int
	Corners, What, Stages []Choice
	Everything            Choice
	Days                  []Day
	Folds                 []Fold
	Unfold                string // path of all lines by day; empty if nothing is folded
	Asked                 bool   // some of it, or all, was asked for
}

// Day is the lines of one day of the devices' clocks.
type Day struct {
	Title string
	Lines []Line
}

// NewTimeline lays out what happened in a job. base is the path of the page,
// for the links that filter it.
func NewTimeline(s *live.Snapshot, st *live.Standing, f Filter, base string) Timeline {
	all := st.Job.Timeline()
	of := stagesOf(st)
	t := Timeline{Job: st.Job.ID, All: len(all), Asked: f.on() || f.Whole, Everything: Choice{Link{"everything", base}, !f.on()}}
	for _, c := range st.Job.Corners {
		with := f
		with.Corner = c.Corner
		t.Corners = append(t.Corners, Choice{Link{string(c.Corner), with.path(base)}, f.Corner == c.Corner})
	}
	for _, w := range whats() {
		with := f
		with.What = w.Path
		t.What = append(t.What, Choice{Link{w.Say, with.path(base)}, f.What == w.Path})
	}
	for _, row := range st.Rows {
		with := f
		with.Stage = row.Stage.Name
		t.Stages = append(t.Stages, Choice{Link{row.Stage.Title, with.path(base)}, f.Stage == row.Stage.Name})
	}
	shown := slices.DeleteFunc(slices.Clone(all), func(l *record.Line) bool { return !f.wants(l, st, of) })
	t.Shown = len(shown)
	if f.on() || f.Whole || len(shown) <= longest {
		t.Days = Days(shown, s)
		return t
	}
	t.Folds = folds(shown, st, of, s)
	f.Whole = true
	t.Unfold = f.path(base)
	return t
}

// Days groups lines by the day of their devices' clocks, in the order in which
// they are given.
func Days(lines []*record.Line, snap *live.Snapshot) []Day {
	var list []Day
	for _, l := range lines {
		v := NewLine(l, snap)
		if len(list) == 0 || list[len(list)-1].Title != v.day {
			list = append(list, Day{Title: v.day})
		}
		list[len(list)-1].Lines = append(list[len(list)-1].Lines, v)
	}
	return list
}

// jobPage is the record of a job.
type jobPage struct {
	*live.Standing
	Plate, Looks, Count string
	Opening             Opening
	Words               bool // they are unfolded
	Timeline            Timeline
}

func (p *Paper) record(w http.ResponseWriter, r *http.Request) {
	s := p.Live.View(r.Context())
	st := s.Standing(journal.JobID(r.PathValue("job")))
	if st == nil {
		p.Missing(w, r, "There is no job "+r.PathValue("job")+" on this machine. It may still be on a tablet that cannot be reached.")
		return
	}
	base := path("record", string(st.Job.ID))
	d := jobPage{Standing: st, Plate: st.Job.Name(), Looks: st.Job.Looks(), Opening: NewOpening(s, st, base), Timeline: NewTimeline(s, st, FilterOf(r), base)}
	d.Words = d.Timeline.Asked || d.Opening.IsZero()
	d.Count = words.Count(d.Timeline.All, "entry")
	p.live(w, r, s, "record", d.Plate+" · record", d)
}
