package bench

import (
	"fmt"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// needRow is something to be done, with where it is done.
type needRow struct {
	route.Todo
	Path  string
	Place string // where on the vehicle
	Head  string // what in a few words
	Say   string // why, in a sentence
	Order *pages.Order
}

// Stamp is how the hold stands that is to be put right.
func (n needRow) Stamp() pages.Stamp { return pages.Stamp{State: n.State} }

// nextShown is how many things to be written down next are shown at once.
const nextShown = 6

func need(t route.Todo) needRow {
	n := needRow{Todo: t, Path: pages.StagePath(t.Stage, t.Subject), Place: pages.Place(t.Subject), Head: pages.NextHead(t), Say: t.Short()}
	switch t.Task {
	case route.Photograph, route.TooLate:
		if t.Before != "" && t.Task == route.Photograph {
			n.Say = fmt.Sprintf("Photograph it before %s; afterwards it can no longer be shown.", words.Quoted(t.Before))
		}
	case route.WriteDown:
		n.Say = words.Sentence(t.What())
		if t.Kind == "" { // any part of the corner: the card offers them
			n.Path = "#card"
		}
	case route.PutRight, route.StillOpen:
		n.Say = words.Capital(t.Found())
	}
	if t.Kind != "" && t.Task != route.Photograph && t.Task != route.TooLate { // the form that is meant, and not the first of its stage
		n.Path += "?kind=" + string(t.Kind)
	}
	return n
}

// joined makes one row of what one entry says of several parts, washed, blasted
// or baked together: a row for each would hide what else comes next.
func joined(list []needRow) []needRow {
	var rows []needRow
	parts := make(map[int][]journal.Subject) // of a row
	for _, n := range list {
		i := slices.IndexFunc(rows, func(o needRow) bool { return together(o.Todo, n.Todo) })
		if i < 0 {
			i = len(rows)
			rows = append(rows, n)
		} else {
			rows[i].Place += ", " + n.Place
		}
		parts[i] = append(parts[i], n.Subject)
	}
	for i, list := range parts {
		if n := &rows[i]; len(list) > 1 && n.Kind.Hand() == journal.ByForm {
			n.Path = pages.RunPath(n.Kind, list)
			n.Say = fmt.Sprintf("Write it down of these %s in one entry, or untick those that come later.", words.Count(len(list), "part"))
		}
	}
	return rows
}

// together reports whether one entry may do both.
func together(a, b route.Todo) bool {
	return a.Task == route.WriteDown && b.Task == a.Task && a.Stage == b.Stage && a.Kind == b.Kind && slices.Contains(a.Kind.Places(), "run")
}

// wrongRow is where something may be found that is not as it should be: damage at a
// part or at the lines and bolts of its corner, or a defect of a part's coat.
type wrongRow struct{ Place, Damage, Defect string }

func wrong(st *live.Standing) []wrongRow {
	var rows []wrongRow
	for _, c := range st.Job.Corners {
		for _, p := range c.Parts {
			rows = append(rows, wrongRow{pages.Place(p.Subject), writePath(journal.ConditionFound, p.Subject), writePath(journal.DefectFound, p.Subject)})
		}
		rows = append(rows, wrongRow{Place: string(c.Corner) + " · hose, pipe or bolts", Damage: writePath(journal.ConditionFound, journal.About(st.Job.ID, c.Corner, ""))})
	}
	return rows
}

func writePath(k journal.Kind, about journal.Subject) string {
	return "/write/" + string(k) + "/" + string(about)
}
