package readonly

import (
	"bytes"
	"image"
	_ "image/jpeg" // thumbnails are JPEGs
	"net/http"

	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
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

// mark is one mark on a photograph.
type mark struct {
	place outline.Place
	says  string
	by    journal.EntryID
}

// marksOn are the marks on a photograph of an entry that count, in the order in which
// they were written: what is said of that entry, or by it. Whoever names the photograph
// in an entry about something else marks nothing here.
func marksOn(s *live.Snapshot, of *record.Line, photo media.Ref) (list []mark) {
	for _, l := range s.Cites(journal.PhotoSubject(photo)) {
		switch d := l.Effect().(type) {
		case *journal.Defect:
			for _, m := range d.Marks {
				if m.Photo == photo && (l.ID == of.ID || l.ID == of.Corrects) {
					list = append(list, mark{placeOf(m.X, m.Y, m.Radius), d.Called() + ", " + d.Face, l.ID})
				}
			}
		case *journal.PhotoMarks:
			for _, m := range d.Marks {
				if m.Photo == photo && d.Of == of.ID {
					place := placeOf(m.X, m.Y, m.Radius)
					place.From = outline.SideOf(m.Shape)
					list = append(list, mark{place, m.Says, l.ID})
				}
			}
		}
	}
	return list
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
