package desk

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
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
		for _, c := range j.Corners {
			for _, p := range c.Parts {
				for _, run := range p.Runs {
					if !slices.ContainsFunc(runs, func(r *record.Run) bool { return r.ID == run.ID }) {
						runs = append(runs, run)
					}
				}
			}
		}
		for _, l := range j.Timeline() {
			if data := l.Effect(); data != nil {
				for _, u := range journal.Uses(data) {
					if !slices.Contains(things, u.Of) {
						things = append(things, u.Of)
					}
				}
			}
		}
	}
	slices.SortStableFunc(runs, func(a, b *record.Run) int { return a.Lines[0].Compare(b.Lines[0]) })
	var list []share
	for _, run := range runs {
		vehicles := s.VehiclesOf(run)
		list = append(list, share{What: words.Capital(runWord(run)) + " " + string(run.ID), Path: "/run/" + string(run.ID), vehicles: vehicles,
			Says: words.Count(len(run.Parts), "part") + ", " + words.Count(vehicles, "vehicle")})
	}
	slices.SortStableFunc(things, func(a, b journal.Subject) int { return cmp.Compare(a.Word(), b.Word()) })
	for _, thing := range things {
		u := s.Used(thing, lastUses)
		list = append(list, share{What: words.Capital(thingWord(thing.Word())) + " " + thing.Last(), Path: readonly.ShelfPath(thing.Word(), thing.Last()),
			Says: usedFor(thing, u), vehicles: u.Vehicles})
	}
	return list
}

// lastUses is how many uses of a thing are looked at where it is one of many.
const lastUses = 20

// usedFor says how often a thing was used, and on how many vehicles: of many
// uses that is told of the last ones.
func usedFor(thing journal.Subject, u *shop.Used) string {
	switch {
	case u.Total == 0:
		return "not used yet"
	case u.Total > len(u.Lines):
		return fmt.Sprintf("%s, the last %d on %s", words.Count(u.Total, "use"), len(u.Lines), words.Count(u.Vehicles, "vehicle"))
	case thing.Word() == "lot":
		return words.Count(len(u.Parts), "part") + ", " + words.Count(u.Vehicles, "vehicle")
	default:
		return words.Count(u.Total, "use") + ", " + words.Count(u.Vehicles, "vehicle")
	}
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
