package readonly

import (
	"bytes"
	"image"
	_ "image/jpeg" // thumbnails are JPEGs
	"net/http"

	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"
)

// Look is what defects of a kind look like, drawn, and in a few words.
type Look struct{ Name, Path, Tells string }

// LookOf is the look of a defect; nil of one that is none in particular.
func LookOf(look string) *Look {
	path := defects.Path(look)
	if path == "" {
		return nil
	}
	return &Look{look, path, defects.Tells(look)}
}

// MarkPath is the page on which something is marked on a copy of a photograph.
func MarkPath(of facts.Sight) string {
	return WritePath(journal.PhotoMarked, of.Line.Subject, "of", of.Line.ID.String())
}

// drawn are the newest marks on a photograph, as many as one shows, each with its number,
// and how many there are before them.
func drawn(all []shop.Mark) (newest []shop.Mark, places []outline.Place, before int) {
	before = max(0, len(all)-journal.MaxMarks)
	newest = all[before:]
	for i, m := range newest {
		place := placeOf(m.X, m.Y, m.Radius)
		place.From, place.Number = outline.SideOf(m.Shape), before+i+1
		places = append(places, place)
	}
	return newest, places, before
}

func placeOf(x, y, radius unit.Ratio) outline.Place {
	at := outline.Place{Left: x.In(unit.Percent), Top: y.In(unit.Percent)}
	if !radius.IsZero() {
		at.Radius = radius.In(unit.Percent)
	}
	return at
}

// sizeOf is how large a thumbnail is; 0 where it is not here.
func (p *Paper) sizeOf(r *http.Request, thumb media.Ref) (width, height int) {
	raw, err := p.Thumbs.Thumb(r.Context(), thumb)
	if err != nil {
		return 0, 0
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return 0, 0
	}
	return size.Width, size.Height
}
