package readonly

import (
	"fmt"
	"slices"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Fold is the lines of one stage.
type Fold struct {
	ID, Title, Span string
	Count           int
	Open            bool
	Days            []Day
}

// stagesOf says to which stages of the card each line belongs; a line of a run
// or a photograph may belong to several.
func stagesOf(st *live.Standing) map[*record.Line][]string {
	of := make(map[*record.Line][]string)
	for _, row := range st.Rows {
		for _, q := range row.Squares {
			for _, l := range q.Lines {
				if !slices.Contains(of[l], row.Stage.Name) {
					of[l] = append(of[l], row.Stage.Name)
				}
			}
		}
	}
	return of
}

// folds groups lines by the first stage of the card that they belong to. What
// belongs to none comes before, between or after.
func folds(lines []*record.Line, st *live.Standing, of map[*record.Line][]string, snap *live.Snapshot) []Fold {
	const opened, any, after = "opened", "any", "after"
	groups := make(map[string][]*record.Line)
	for _, l := range lines {
		name := any
		switch {
		case l.Has(record.AfterHandover):
			name = after
		case len(of[l]) > 0:
			name = "stage-" + of[l][0]
		case l.Kind == journal.JobOpened:
			name = opened
		}
		groups[name] = append(groups[name], l)
	}
	order := []Link{{"Opened", opened}}
	for _, row := range st.Rows {
		order = append(order, Link{row.Stage.Title, "stage-" + row.Stage.Name})
	}
	order = append(order, Link{"At any time", any}, Link{"After handover", after})
	var list []Fold
	for _, o := range order {
		if in := groups[o.Path]; len(in) > 0 {
			list = append(list, Fold{
				ID: fmt.Sprintf("fold-%s-%s", st.Job.ID, o.Path), Title: o.Say, Count: len(in), Span: span(in),
				Open: slices.Contains(in, lines[len(lines)-1]), Days: Days(in, snap),
			})
		}
	}
	return list
}

// span says from when to when lines were written.
func span(lines []*record.Line) string {
	w := lines[0].Writing()
	from, to := time.Time(lines[0].Clocks.Device), time.Time(lines[len(lines)-1].Clocks.Device)
	switch {
	case len(lines) == 1:
		return w.ThisYear(from)
	case from.Format(time.DateOnly) == to.Format(time.DateOnly):
		return w.ThisYear(from) + " to " + words.Clock(to)
	default:
		return w.ThisYear(from) + " to " + w.ThisYear(to)
	}
}
