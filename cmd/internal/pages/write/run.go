package write

import (
	"net/http"
	"slices"
	"strings"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// runPage is what a run is: its parts, what was written of it, what comes next.
type runPage struct {
	Run     *record.Run
	What    string
	Cars    []*runCar
	Lines   []line
	Next    []link
	Figure  any
	Default bool // it names the shop's default as a source
}

// runCar is a car with its parts that are in the run.
type runCar struct {
	Plate, Path string
	Parts       []string
}

// cars are the cars of a run's parts, in the order of the run.
func cars(s *live.Snapshot, run *record.Run) (list []*runCar) {
	of := make(map[journal.JobID]*runCar)
	for _, part := range run.Parts {
		car := of[part.Job()]
		if car == nil {
			car = &runCar{Path: "/job/" + string(part.Job())}
			if j := s.Job(part.Job()); j != nil {
				car.Plate = j.Name()
			}
			of[part.Job()], list = car, append(list, car)
		}
		car.Parts = append(car.Parts, pages.Place(part))
	}
	return list
}

// link is a way on.
type link struct {
	Path, Say string
	Main      bool
	On        bool
}

// run shows a run.
func (w *Writer) run(rw http.ResponseWriter, r *http.Request) {
	s := w.Live.View(r.Context())
	run := s.Run(journal.RunID(r.PathValue("run")))
	if run == nil {
		w.missing(rw, r, http.StatusNotFound, "There is no run "+r.PathValue("run")+" here. It may still be on another tablet.")
		return
	}
	p := runPage{Run: run, What: strings.Join(run.What, ", "), Cars: cars(s, run)}
	if p.What == "" {
		p.What = "run"
	}
	for _, l := range run.Lines {
		p.Lines = append(p.Lines, w.line(s.Shop, l))
	}
	p.Next = append(w.after(run), w.onward(s, run)...)
	if l := drawn(run); l != nil {
		p.Figure = w.figured(s, l.ID)
		p.Default = byDefault(p.Figure)
	}
	w.page(rw, r, http.StatusOK, "run", s, pages.View{Title: "Run " + string(run.ID), Data: p, Live: true})
}

// after is what is written about a bake when it has begun.
func (w *Writer) after(run *record.Run) []link {
	has := func(k journal.Kind) bool {
		return slices.ContainsFunc(run.Lines, func(l *record.Line) bool { p := l.Effect(); return p != nil && p.Kind() == k })
	}
	if !has(journal.BakeStarted) {
		return nil
	}
	var list []link
	for _, k := range []struct {
		kind journal.Kind
		say  string
	}{
		{journal.ProbeLogged, "The recorder’s file"}, {journal.CureCompleted, "The bake ended"}, {journal.PartCooled, "The parts cooled"},
	} {
		if w.May(k.kind) == nil && !has(k.kind) {
			list = append(list, link{Path: "/write/" + string(k.kind) + "/run/" + string(run.ID), Say: k.say, Main: len(list) == 0})
		}
	}
	return list
}

// onward is what comes next for the parts of a run on their cards, as runs.
func (w *Writer) onward(s *live.Snapshot, run *record.Run) []link {
	wanted := make(map[journal.Kind][]journal.Subject)
	var order []journal.Kind
	for _, job := range run.Jobs {
		st := s.Standing(job.ID)
		if st == nil {
			continue
		}
		for _, row := range st.Rows {
			for _, q := range row.Squares {
				if row.Stage.Level != card.OnPart || !q.Free || !slices.Contains(run.Parts, q.Subject) {
					continue
				}
				for _, k := range q.Lacks {
					if !takesParts(k) || w.May(k) != nil {
						continue
					}
					if wanted[k] == nil {
						order = append(order, k)
					}
					wanted[k] = append(wanted[k], q.Subject)
				}
			}
		}
	}
	var list []link
	for _, k := range order {
		list = append(list, link{Path: pages.RunPath(k, wanted[k]), Say: "Next for " + words.Count(len(wanted[k]), "part") + ": " + titleOf(k)})
	}
	return list
}

// drawn is the line whose figure is shown: of a bake its newest trace.
func drawn(run *record.Run) *record.Line {
	for _, kind := range []journal.Kind{journal.ProbeLogged, journal.BakeStarted, journal.PowderApplied, journal.PartSoaked, journal.PartBlasted, journal.PartDegreased} {
		for _, l := range slices.Backward(run.Lines) {
			if p := l.Effect(); p != nil && p.Kind() == kind {
				return l
			}
		}
	}
	return nil
}
