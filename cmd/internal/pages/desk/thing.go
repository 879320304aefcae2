package desk

import (
	"fmt"
	"net/http"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/words"
)

// thingPage is one thing on the shelf and what it touched.
type thingPage struct {
	What, ID string
	Row      thingRow
	Column   string         // what the day in its row is of
	Lines    []readonly.Day // what the register says of it
	Vehicles []touched
	Runs     []readonly.Link
	Parts    int
	Uses     int
	Writing  words.Writing // of these
	Actions  []readonly.Link
	Shown    int // of its uses
	Newest   []readonly.Day
}

// touched is a job in which the thing was used.
type touched struct {
	Plate, Path, Looks string
	Parts              []string
	Uses               int
	From, To           string
}

// usesLooked is how many uses of a thing its page looks at, the last ones.
const usesLooked = 200

// usesShown is how many uses of a thing its page lists.
const usesShown = 50

func (d *Desk) thing(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	what, id := r.PathValue("what"), r.PathValue("id")
	lines, column, row, known := d.onShelf(s, what, id)
	if !known {
		d.missing(w, r, fmt.Sprintf("There is no %s %s on the shelf; the shelf lists what there is.", shop.ThingWord(what), id))
		return
	}
	u := s.Used(journal.Of(what, id), usesLooked)
	p := thingPage{What: words.Capital(shop.ThingWord(what)), ID: id, Row: row, Column: column, Parts: len(u.Parts), Uses: u.Total, Vehicles: jobsTouched(u, s), Writing: s.Shop.Writing()}
	p.Lines = readonly.Days(lines, s)
	for _, l := range u.Lines {
		if run := l.Subject.Run(); run != "" {
			link := readonly.Link{Say: "run " + string(run), Path: "/run/" + string(run)}
			if !slices.Contains(p.Runs, link) {
				p.Runs = append(p.Runs, link)
			}
		}
	}
	newest := slices.Clone(u.Lines[max(0, len(u.Lines)-usesShown):])
	slices.Reverse(newest)
	p.Newest, p.Shown = readonly.Days(newest, s), len(newest)
	if what == "lot" {
		p.Actions = append(p.Actions, readonly.Link{Say: "It was opened, or its label corrected", Path: readonly.WritePath(journal.PowderReceived, journal.Of(what, id))})
	}
	if what == "tool" {
		p.Actions = append(p.Actions, readonly.Link{Say: "It was checked", Path: readonly.WritePath(journal.ToolChecked, journal.Of(what, id), "tool", id)},
			readonly.Link{Say: "It was serviced", Path: readonly.WritePath(journal.EquipmentServiced, journal.Of(what, id), "tool", id)})
	}
	if slices.Contains(journal.RecallMade.Places(), what) {
		p.Actions = append(p.Actions, readonly.Link{Say: "Recall it", Path: readonly.WritePath(journal.RecallMade, journal.Of(what, id))})
	}
	p.Actions = append(p.Actions, readonly.Link{Say: "Trace it", Path: readonly.TracePath(string(journal.Of(what, id)))})
	p.Actions = append(p.Actions, readonly.Link{Say: "An investigation", Path: readonly.WritePath(journal.InvestigationMade, journal.Of(what, id))})
	p.Actions = append(p.Actions, readonly.Link{Say: "A remark", Path: readonly.WritePath(journal.NoteMade, journal.Of(what, id))})
	d.reads(w, r, s, "thing", fmt.Sprintf("%s %s", p.What, id), p)
}

// onShelf finds a thing: the lines about it, its row, and what the day in that is of.
func (d *Desk) onShelf(s *live.Snapshot, what, id string) ([]*record.Line, string, thingRow, bool) {
	var g group
	switch what {
	case "lot":
		g = d.lots(s)
	case "fluid":
		g = d.fluids(s)
	case "kit":
		g = d.kits(s)
	case "tool":
		g = d.tools(s)
	case "spec":
		g = d.specs(s)
	}
	for _, row := range g.Rows {
		if row.ID == id {
			return s.Stock().Lines(journal.Of(what, id)), g.Column, row, true
		}
	}
	// What entries name is known even before the register says what it is.
	return nil, "", d.row(s, what, id), s.Used(journal.Of(what, id), 1).Total > 0
}

// jobsTouched lists the jobs in which a thing was used, the newest first.
func jobsTouched(u *shop.Used, snap *live.Snapshot) []touched {
	by := make(map[journal.JobID]*touched)
	for _, j := range u.Jobs {
		by[j.ID] = &touched{Plate: j.Name(), Path: readonly.JobPath(j.ID), Looks: j.Looks()}
	}
	for _, s := range u.Parts {
		if t := by[s.Job()]; t != nil {
			t.Parts = append(t.Parts, pages.Place(s))
		}
	}
	for _, l := range u.Lines {
		jobs := []journal.JobID{l.Subject.Job()}
		if run := snap.Run(l.Subject.Run()); run != nil {
			jobs = nil
			for _, j := range run.Jobs {
				jobs = append(jobs, j.ID)
			}
		}
		at := l.Writing().Day(time.Time(l.Clocks.Device))
		for _, j := range jobs {
			t := by[j]
			if t == nil {
				continue
			}
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
