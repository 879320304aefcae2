package readonly

import (
	"bytes"
	"cmp"
	"html/template"
	"image"
	_ "image/jpeg" // thumbnails are JPEGs
	"net/http"

	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
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

// marked shows a photograph of a defect with its marks; "" without any, or
// where the thumbnail is not here.
func (p *Paper) marked(r *http.Request, photo record.Photo, l *record.Line) template.HTML {
	d, ok := l.Effect().(*journal.Defect)
	if !ok {
		return ""
	}
	var places []outline.Place
	for _, m := range d.Marks {
		if m.Photo != photo.Ref {
			continue
		}
		at := outline.Place{Left: m.X.In(unit.Percent), Top: m.Y.In(unit.Percent)}
		if !m.Radius.IsZero() {
			at.Radius = m.Radius.In(unit.Percent)
		}
		places = append(places, at)
	}
	if len(places) == 0 {
		return ""
	}
	raw, err := p.Thumbs.Thumb(r.Context(), photo.Thumb)
	if err != nil {
		return ""
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return ""
	}
	return outline.Marked(path("thumb", photo.Thumb.Hex()), cmp.Or(photo.Role, "photograph"), size.Width, size.Height, places)
}
