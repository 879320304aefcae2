package shop

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Touch is a run, or a thing of the register, that some jobs had to do with.
type Touch struct {
	What     journal.Subject `json:"what"` // run/bake-2, lot/so-118, tool/tw-1
	Name     string          `json:"name"`
	Says     string          `json:"says"`     // how many parts and vehicles it touched in all
	Vehicles int             `json:"vehicles"` // of those that were looked at
}

// lastUses is how many uses of a thing are looked at where it is one of many.
const lastUses = 20

// Touched lists the runs of the parts of some jobs, and the lots, fluids, kits
// and tools that were used on them, with how many parts and vehicles each of
// these touched in all.
func (v *View) Touched(jobs []*record.Job) []Touch {
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
	var list []Touch
	for _, run := range runs {
		n := v.VehiclesOf(run)
		name := words.Choose(len(run.What) == 0, "run", cmp.Or(run.What...))
		list = append(list, Touch{What: journal.Of("run", string(run.ID)), Name: words.Capital(name) + " " + string(run.ID), Vehicles: n,
			Says: words.Count(len(run.Parts), "part") + ", " + words.Count(n, "vehicle")})
	}
	slices.SortStableFunc(things, func(a, b journal.Subject) int { return cmp.Compare(a.Word(), b.Word()) })
	for _, thing := range things {
		u := v.Used(thing, lastUses)
		list = append(list, Touch{What: thing, Name: words.Capital(ThingWord(thing.Word())) + " " + thing.Last(), Says: u.Says(), Vehicles: u.Vehicles})
	}
	return list
}

// UsedLately says how often a thing was used, as [Used.Says] does.
func (v *View) UsedLately(thing journal.Subject) string { return v.Used(thing, lastUses).Says() }

// Says says how often a thing was used, and on how many vehicles: of many
// uses that is told of the last ones.
func (u *Used) Says() string {
	switch {
	case u.Total == 0:
		return "not used yet"
	case u.Total > len(u.Lines):
		return fmt.Sprintf("%s, the last %d on %s", words.Count(u.Total, "use"), len(u.Lines), words.Count(u.Vehicles, "vehicle"))
	case u.Thing.Word() == "lot":
		return words.Count(len(u.Parts), "part") + ", " + words.Count(u.Vehicles, "vehicle")
	default:
		return words.Count(u.Total, "use") + ", " + words.Count(u.Vehicles, "vehicle")
	}
}

// ThingWord is what people call a thing of the register.
func ThingWord(what string) string {
	switch what {
	case "lot":
		return "powder lot"
	case "spec":
		return "figure"
	default:
		return what
	}
}
