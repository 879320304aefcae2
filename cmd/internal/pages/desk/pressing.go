package desk

import (
	"cmp"
	"fmt"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal/facts"
	"fettlebook/journal/words"
)

// soonDays is how many days ahead the board names what runs out: time enough to order powder
// or to send a wrench away. longAgo is how long it names what has run out: a lot that was used
// up keeps its date.
const (
	soonDays = 14
	longAgo  = 30
)

// outShown is how many things that run out the board lists; the shelf has all.
const outShown = 8

// runningOut lists what of the shelf is bad, past its date or soon is, the most urgent first.
func (d *Desk) runningOut(s *live.Snapshot) (list []thingRow) {
	for _, g := range []group{d.lots(s), d.fluids(s), d.kits(s), d.tools(s)} {
		for _, row := range g.Rows {
			if n := row.Date.rank; n == foundBad || n >= -longAgo && n <= soonDays {
				list = append(list, row)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b thingRow) int { return cmp.Compare(a.Date.rank, b.Date.rank) })
	return list
}

// promised says how the day stands by which a vehicle is promised, "" if none is.
func promised(d facts.Due, w words.Writing) string {
	on := w.Day(d.On)
	switch {
	case d.IsZero():
		return ""
	case d.Past():
		return fmt.Sprintf("promised for %s, %s late", on, words.Count(-d.Days, "day"))
	case d.Days == 0:
		return "promised for today"
	case d.Days == 1:
		return "promised for tomorrow"
	}
	return fmt.Sprintf("promised for %s, in %s", on, words.Count(d.Days, "day"))
}

// byPromise sorts jobs by the day by which they are promised; those without one come last, as
// they were.
func byPromise(rows []jobRow) {
	slices.SortStableFunc(rows, func(a, b jobRow) int {
		if a.due.IsZero() || b.due.IsZero() {
			return cmp.Compare(btoi(a.due.IsZero()), btoi(b.due.IsZero()))
		}
		return cmp.Compare(a.due.Days, b.due.Days)
	})
}

func btoi(is bool) int {
	if is {
		return 1
	}
	return 0
}

// pressing says how many of the jobs are late, and how many are on hold.
func pressing(rows []jobRow) string {
	late, held := 0, 0
	for _, row := range rows {
		late += btoi(row.Late)
		held += btoi(len(row.Held) > 0)
	}
	return words.Commas(words.If(late > 0, fmt.Sprintf("%d late", late)), words.If(held > 0, fmt.Sprintf("%d on hold", held)))
}
