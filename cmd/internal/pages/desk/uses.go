package desk

import (
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// share is something that was used on some jobs, and maybe on other vehicles.
type share struct {
	What, Path, Says string
	vehicles         int
}

// shares lists the runs, lots, fluids and tools of some jobs, with how many
// parts and vehicles each of them touched in all.
func (d *Desk) shares(s *live.Snapshot, jobs []*record.Job) []share {
	return newShares(s.Touched(jobs))
}

func newShares(touched []shop.Touch) []share {
	var list []share
	for _, t := range touched {
		one := share{What: t.Name, Path: "/run/" + t.What.Last(), Says: t.Says, vehicles: t.Vehicles}
		if t.What.Word() != "run" {
			one.Path = readonly.ShelfPath(t.What.Word(), t.What.Last())
		}
		list = append(list, one)
	}
	return list
}
