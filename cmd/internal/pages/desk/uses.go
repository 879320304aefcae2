package desk

import (
	"cmp"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/paper"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

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
			if data := l.Effect(); data != nil {
				for _, u := range journal.Uses(data) {
					if !slices.Contains(things, u.Of) {
						things = append(things, u.Of)
					}
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
		list = append(list, share{What: words.Capital(runWord(run)) + " " + string(run.ID), Path: "/run/" + string(run.ID), vehicles: len(vehicles),
			Says: words.Count(len(run.Parts), "part") + ", " + words.Count(len(vehicles), "vehicle")})
	}
	slices.SortStableFunc(things, func(a, b journal.Subject) int { return cmp.Compare(a.Word(), b.Word()) })
	for _, thing := range things {
		u := s.Stock.Used(thing)
		says := words.Count(len(u.Lines), "use") + ", " + words.Count(u.Vehicles, "vehicle")
		if thing.Word() == "lot" {
			says = words.Count(len(u.Parts), "part") + ", " + words.Count(u.Vehicles, "vehicle")
		}
		list = append(list, share{What: words.Capital(thingWord(thing.Word())) + " " + thing.Last(), Path: paper.ShelfPath(thing.Word(), thing.Last()), Says: says, vehicles: u.Vehicles})
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
