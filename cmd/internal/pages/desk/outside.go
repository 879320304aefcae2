package desk

import (
	"fmt"
	"time"

	"fettlebook/journal/words"
)

// Witnessed is how things stand with those outside who are asked to witness
// the hub's log.
type Witnessed struct {
	Last     time.Time // zero if nobody did yet
	By       []string
	Troubles []Trouble
}

// Trouble is somebody outside who does not answer as asked.
type Trouble struct {
	Who   string
	Since time.Time
	Says  string // a sentence
}

// outsideRow is what the page says of it.
type outsideRow struct {
	Says     string
	Troubles []string
}

func newOutsideRow(w Witnessed, read bool, in words.Writing) *outsideRow {
	row := &outsideRow{Says: "The log has not been witnessed yet."}
	if !read {
		row.Says = "What others said of the log cannot be read now; the log on this machine says why."
	} else if !w.Last.IsZero() {
		row.Says = fmt.Sprintf("Last witnessed on %s by %s.", in.Zoned(w.Last.Local()), words.And(w.By...))
	}
	for _, t := range w.Troubles {
		row.Troubles = append(row.Troubles, fmt.Sprintf("%s has not witnessed it when asked since %s. %s It is asked again; the work goes on.", t.Who, in.Zoned(t.Since.Local()), t.Says))
	}
	return row
}
