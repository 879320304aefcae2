package bench

import (
	"net/http"
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal/record"
	"fettlebook/media"
)

// wherePage says for each of the newest entries of this tablet where it is.
type wherePage struct {
	Where
	Entries []whereRow
}

type whereRow struct {
	Line   *record.Line
	Place  string
	State  string // "saved here", "at the hub", "countersigned"
	Photos []photoRow
}

type photoRow struct {
	Photo record.Photo
	State string // "original saved here", "original at the hub"
}

// whereShown is how many entries the page lists, the newest first.
const whereShown = 60

func (b *Bench) where(w http.ResponseWriter, r *http.Request) {
	d := wherePage{Where: b.whereabouts(r)}
	waiting, err := b.Log.Unconfirmed(r.Context())
	if err != nil {
		b.Logger.WarnContext(r.Context(), "read waiting photographs", "error", err)
	}
	d.Entries = b.newest(b.Live.View(r.Context()), d.Where, waiting)
	b.show(w, r, http.StatusOK, "where", pages.View{Title: "Where my entries are", Data: d, Live: true})
}

func (b *Bench) newest(s *live.Snapshot, at Where, waiting []media.Ref) (rows []whereRow) {
	for _, l := range s.Newest(b.Device, whereShown) {
		row := whereRow{Line: l, Place: pages.Place(l.Subject), State: "saved here"}
		switch {
		case l.Position().Index < at.Countersigned:
			row.State = "countersigned"
		case l.Position().Index < at.AtHub:
			row.State = "at the hub"
		}
		for _, p := range l.Photos {
			state := "original at the hub"
			if slices.Contains(waiting, p.Ref) {
				state = "original saved here"
			}
			row.Photos = append(row.Photos, photoRow{Photo: p, State: state})
		}
		rows = append(rows, row)
	}
	return rows
}
