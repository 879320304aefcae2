package desk

import (
	"cmp"
	"net/http"
	"slices"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// importPage lists the bakes that a recorder's file can belong to.
type importPage struct {
	Bare   []bakeRow // without a trace
	Traced []bakeRow
}

type bakeRow struct {
	ID           journal.RunID
	Path, Begun  string
	Says, Plates string
	begun        journal.EntryID
}

// bakesListed is how many bakes without a trace are listed.
const bakesListed = 100

// bakesShown is how many bakes with a trace are listed.
const bakesShown = 20

func (d *Desk) imports(w http.ResponseWriter, r *http.Request) {
	s := d.Live.View(r.Context())
	var p importPage
	for _, run := range append(s.Bakes(bakesListed, false), s.Bakes(bakesShown, true)...) {
		row, traced, ok := newBakeRow(run)
		switch {
		case !ok:
		case traced:
			p.Traced = append(p.Traced, row)
		default:
			p.Bare = append(p.Bare, row)
		}
	}
	lastFirst := func(a, b bakeRow) int { return -cmp.Compare(a.begun.String(), b.begun.String()) }
	slices.SortFunc(p.Bare, lastFirst)
	slices.SortFunc(p.Traced, lastFirst)
	p.Traced = p.Traced[:min(len(p.Traced), bakesShown)]
	d.reads(w, r, s, "import", "A recorder’s file", p)
}

// newBakeRow makes a row of a run, if it is a bake that counts.
func newBakeRow(run *record.Run) (row bakeRow, traced, ok bool) {
	row = bakeRow{ID: run.ID, Path: readonly.WritePath(journal.ProbeLogged, journal.Of("run", string(run.ID)))}
	for _, l := range run.Lines {
		switch l.Effect().(type) {
		case *journal.BakeStart:
			ok, row.begun = true, l.ID
			row.Begun, row.Says = l.Writing().Moment(time.Time(l.Clocks.Device)), l.Says()
			if now := l.Now(); now != "" {
				row.Says = now
			}
		case *journal.ProbeTrace:
			traced = true
		}
	}
	var plates []string
	for _, j := range run.Jobs {
		plates = append(plates, j.Name())
	}
	row.Plates = words.Count(len(run.Parts), "part") + " of " + strings.Join(plates, ", ")
	return row, traced, ok
}
