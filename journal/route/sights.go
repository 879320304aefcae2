package route

import (
	"slices"

	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// Shown are the photographs of one stage of a job.
type Shown struct {
	Stage  *card.Stage // nil of those that belong to none
	Sights []facts.Sight
}

// Sights are the photographs of a job's entries that count, stage by stage as on
// its card and in each in the order of replay; at the end those that belong to no
// stage. Each is there once: at the stage that asks for what it shows, else at the
// first that its entry belongs to.
func Sights(rows []Row, lines []*record.Line) (list []Shown) {
	of := make([][]facts.Sight, len(rows)+1)
	for _, l := range lines {
		if l.Effect() == nil {
			continue
		}
		for _, s := range facts.Sights(l) {
			i := stageOf(rows, s)
			of[i] = append(of[i], s)
		}
	}
	for i, sights := range of {
		switch {
		case len(sights) == 0:
		case i < len(rows):
			list = append(list, Shown{rows[i].Stage, sights})
		default:
			list = append(list, Shown{nil, sights})
		}
	}
	return list
}

// stageOf is the row that a photograph belongs to; behind the last one if it
// belongs to none.
func stageOf(rows []Row, s facts.Sight) int {
	its := len(rows)
	for i, row := range rows {
		wanted := slices.ContainsFunc(row.Stage.Photos, func(p card.Picture) bool { return facts.SameRole(p.Shows, s.Role) })
		for _, q := range row.Squares {
			switch {
			case slices.Contains(q.Lines, s.Line):
				if wanted {
					return i
				}
				its = min(its, i)
			case wanted && (facts.Covers(q.Subject, s.Line.Subject) || facts.Covers(s.Line.Subject, q.Subject)): // taken by itself
				return i
			}
		}
	}
	return its
}
