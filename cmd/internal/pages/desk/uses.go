package desk

import (
	"cmp"
	"slices"
	"sync"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/paper"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// usesIndex says what each thing on the shelf touched. It is built once for
// each snapshot that is asked, by one walk over all lines of the shop.
type usesIndex struct {
	mu     sync.Mutex
	serial uint64
	of     map[journal.Subject]*use
}

// use is what one thing touched, by what counts: struck entries are no use.
type use struct {
	Lines    []*record.Line // in the order of replay
	Parts    []journal.Subject
	Jobs     []*record.Job
	Vehicles int

	parts map[journal.Subject]bool
	jobs  map[journal.JobID]bool
}

func (x *usesIndex) find(s *live.Snapshot, thing journal.Subject) *use {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.of == nil || x.serial != s.Serial {
		x.serial, x.of = s.Serial, walk(s.Shop)
	}
	if u := x.of[thing]; u != nil {
		return u
	}
	return new(use)
}

func walk(shop *record.Shop) map[journal.Subject]*use {
	all := make(map[journal.Subject]*use)
	for l := range shop.All() {
		for _, thing := range touches(l.Effect()) {
			u := all[thing]
			if u == nil {
				u = &use{parts: make(map[journal.Subject]bool), jobs: make(map[journal.JobID]bool)}
				all[thing] = u
			}
			u.add(l, shop)
		}
	}
	for _, u := range all {
		vehicles := make(map[*record.Vehicle]bool)
		for _, j := range u.Jobs {
			if j.Vehicle != nil {
				vehicles[j.Vehicle] = true
			}
		}
		u.Vehicles = len(vehicles)
	}
	return all
}

func (u *use) add(l *record.Line, shop *record.Shop) {
	u.Lines = append(u.Lines, l)
	about := []journal.Subject{l.Subject}
	if run := shop.Run(l.Subject.Run()); run != nil {
		about = run.Parts
	}
	for _, s := range about {
		if s.Part() != "" && !u.parts[s] {
			u.parts[s] = true
			u.Parts = append(u.Parts, s)
		}
		if j := shop.Job(s.Job()); j != nil && !u.jobs[j.ID] {
			u.jobs[j.ID] = true
			u.Jobs = append(u.Jobs, j)
		}
	}
}

// touches lists the things on the shelf that an entry used.
func touches(p journal.Payload) []journal.Subject {
	var list []journal.Subject
	used := func(what, name string) {
		if s := journal.Of(what, name); name != "" && !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	switch p := p.(type) {
	case *journal.Soaking:
		used("tool", string(p.Oven))
	case *journal.Coating:
		used("lot", string(p.Lot))
	case *journal.BakeStart:
		used("tool", string(p.Oven))
		for _, probe := range p.Probes {
			used("tool", string(probe.Tool))
		}
	case *journal.FilmReadings:
		used("tool", string(p.Gauge))
	case *journal.Torque:
		used("tool", string(p.Tool))
		used("spec", string(p.Spec))
	case *journal.Bleed:
		used("fluid", string(p.Fluid))
		used("tool", string(p.Tool))
	case *journal.Reservoir:
		used("fluid", string(p.Fluid))
	case *journal.WheelFit:
		used("tool", string(p.Tool))
	case *journal.Retorque:
		used("tool", string(p.Tool))
	}
	return list
}

// share is something that was used on some jobs, and maybe on other vehicles.
type share struct {
	What, Path, Says string
	vehicles         int
}

// shares lists the runs, lots, fluids and tools of some jobs, with how many
// parts and vehicles each of them touched in all.
func (d *Desk) shares(s *live.Snapshot, jobs []*record.Job) []share {
	var runs []*record.Run
	var things []journal.Subject
	for _, j := range jobs {
		for _, l := range j.Timeline() {
			if run := s.Shop.Run(l.Subject.Run()); run != nil && !slices.Contains(runs, run) {
				runs = append(runs, run)
			}
			for _, thing := range touches(l.Effect()) {
				if !slices.Contains(things, thing) {
					things = append(things, thing)
				}
			}
		}
	}
	var list []share
	for _, run := range runs {
		vehicles := make(map[*record.Vehicle]bool)
		for _, j := range run.Jobs {
			vehicles[j.Vehicle] = true
		}
		list = append(list, share{What: paper.Capital(runWord(run)) + " " + string(run.ID), Path: "/run/" + string(run.ID), vehicles: len(vehicles),
			Says: pages.Count(len(run.Parts), "part") + ", " + pages.Count(len(vehicles), "vehicle")})
	}
	slices.SortStableFunc(things, func(a, b journal.Subject) int { return cmp.Compare(a.Word(), b.Word()) })
	for _, thing := range things {
		u := d.uses.find(s, thing)
		says := pages.Count(len(u.Lines), "use") + ", " + pages.Count(u.Vehicles, "vehicle")
		if thing.Word() == "lot" {
			says = pages.Count(len(u.Parts), "part") + ", " + pages.Count(u.Vehicles, "vehicle")
		}
		list = append(list, share{What: paper.Capital(thingWord(thing.Word())) + " " + thing.Last(), Path: paper.ShelfPath(thing.Word(), thing.Last()), Says: says, vehicles: u.Vehicles})
	}
	return list
}

func runWord(run *record.Run) string {
	if len(run.What) == 0 {
		return "run"
	}
	return run.What[0]
}

func thingWord(what string) string {
	switch what {
	case "lot":
		return "powder lot"
	case "spec":
		return "figure"
	default:
		return what
	}
}
