package desk

import (
	"fmt"
	"net/http"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/paper"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// thingPage is one thing on the shelf and what it touched.
type thingPage struct {
	paper.Foot
	What, ID string
	Row      thingRow
	Lines    []paper.Day // what the register says of it
	Vehicles []touched
	Runs     []paper.Link
	Parts    int
	Uses     int
	Actions  []paper.Link
	Shown    int // of its uses
	Newest   []paper.Day
}

// touched is a job in which the thing was used.
type touched struct {
	Plate, Path, Looks string
	Parts              []string
	Uses               int
	From, To           string
}

// usesShown is how many uses of a thing its page lists.
const usesShown = 50

func (d *Desk) thing(w http.ResponseWriter, r *http.Request) {
	s := d.Live.Now()
	what, id := r.PathValue("what"), r.PathValue("id")
	lines, row, known := d.onShelf(s, what, id)
	if !known {
		d.missing(w, r, fmt.Sprintf("There is no %s %s on the shelf; look at the shelf for what there is.", thingWord(what), id))
		return
	}
	u := s.Stock.Used(journal.Of(what, id))
	p := thingPage{What: words.Capital(thingWord(what)), ID: id, Row: row, Parts: len(u.Parts), Uses: len(u.Lines), Vehicles: jobsTouched(u, s.Shop)}
	p.Lines = paper.Days(lines, s.Shop)
	for _, l := range u.Lines {
		if run := l.Subject.Run(); run != "" {
			link := paper.Link{Say: "run " + string(run), Path: "/run/" + string(run)}
			if !slices.Contains(p.Runs, link) {
				p.Runs = append(p.Runs, link)
			}
		}
	}
	newest := slices.Clone(u.Lines[max(0, len(u.Lines)-usesShown):])
	slices.Reverse(newest)
	p.Newest, p.Shown = paper.Days(newest, s.Shop), len(newest)
	if what == "tool" {
		p.Actions = append(p.Actions, paper.Link{Say: "It was checked", Path: paper.WritePath(journal.ToolChecked, journal.Of(what, id), "tool", id)})
	}
	p.Actions = append(p.Actions, paper.Link{Say: "A remark", Path: paper.WritePath(journal.NoteMade, journal.Of(what, id))})
	d.reads(w, r, s, "thing", fmt.Sprintf("%s %s", p.What, id), p)
}

// onShelf finds a thing: the lines about it and its row.
func (d *Desk) onShelf(s *live.Snapshot, what, id string) ([]*record.Line, thingRow, bool) {
	var g group
	switch what {
	case "lot":
		g = d.lots(s)
	case "fluid":
		g = d.fluids(s)
	case "tool":
		g = d.tools(s)
	case "spec":
		g = d.specs(s)
	}
	for _, row := range g.Rows {
		if row.ID == id {
			return s.Stock.Lines(journal.Of(what, id)), row, true
		}
	}
	// What entries name is known even before the register says what it is.
	return nil, d.row(s, what, id), len(s.Stock.Used(journal.Of(what, id)).Lines) > 0
}

// jobsTouched lists the jobs in which a thing was used, the newest first.
func jobsTouched(u *facts.Used, shop *record.Shop) []touched {
	by := make(map[journal.JobID]*touched)
	for _, j := range u.Jobs {
		by[j.ID] = &touched{Plate: j.Name(), Path: paper.JobPath(j.ID), Looks: j.Looks()}
	}
	for _, s := range u.Parts {
		if t := by[s.Job()]; t != nil {
			t.Parts = append(t.Parts, pages.Place(s))
		}
	}
	for _, l := range u.Lines {
		jobs := []*record.Job{shop.Job(l.Subject.Job())}
		if run := shop.Run(l.Subject.Run()); run != nil {
			jobs = run.Jobs
		}
		at := time.Time(l.Clocks.Device).Format("2 Jan 2006")
		for _, j := range jobs {
			if j == nil {
				continue
			}
			t := by[j.ID]
			if t.Uses++; t.Uses == 1 {
				t.From = at
			}
			t.To = at
		}
	}
	var list []touched
	for _, j := range slices.Backward(u.Jobs) {
		list = append(list, *by[j.ID])
	}
	return list
}
