package write

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"image"
	_ "image/jpeg" // thumbnails are JPEGs
	"slices"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/trade/unit"
	"fettlebook/media"
)

// marking is a photograph on which a place is tapped, with the rings about
// those that are there.
type marking struct {
	Name, Path, Tap string
	Width, Height   int
	Places          int
	Rings           template.HTML
}

// The fields of the marks of a form, and what begins the name of a photograph
// that was tapped, within that of a tap: "mark:<width>:<height>:<hex>", the
// size being that of the picture on the page.
const (
	marksField = "marks"
	markName   = "mark:"
)

// markSide is how wide and how high the picture of a photograph may be.
const markSide = 320

// marks reports whether something can be marked on the photographs of the form.
func (t *task) marks() bool { return t.kind == journal.DefectFound || t.kind == journal.PhotoMarked }

// markings are the photographs on which something can be marked. One whose
// picture cannot be had is left out; its marks are typed.
func (w *Writer) markings(ctx context.Context, t *task, d draft.Draft) (list []marking) {
	if !t.marks() {
		return nil
	}
	typed := t.typed(d)
	for _, o := range t.photoOptions(d) {
		ref, err := media.ParseRef(o.Value)
		if err != nil {
			continue
		}
		small, err := w.Store.Thumb(ctx, ref)
		if err != nil {
			w.Logger.WarnContext(ctx, "show a photograph to be marked", "error", err)
			continue
		}
		size, _, err := image.DecodeConfig(bytes.NewReader(small))
		if err != nil {
			w.Logger.WarnContext(ctx, "show a photograph to be marked", "error", err)
			continue
		}
		m := marking{Name: o.Say, Path: "/snap/" + ref.Hex()}
		if o.Note != "" {
			m.Name += ", " + o.Note
		}
		longer := max(size.Width, size.Height, 1)
		m.Width, m.Height = max(size.Width*markSide/longer, 1), max(size.Height*markSide/longer, 1)
		m.Tap = fmt.Sprintf("%s%s%d:%d:%s", tapName, markName, m.Width, m.Height, ref.Hex())
		places := t.marked(typed, o.Value)
		m.Places, m.Rings = len(places), outline.Rings(m.Width, m.Height, places)
		list = append(list, m)
	}
	return list
}

// marked are the places that are marked on a photograph so far.
func (t *task) marked(v form.Values, photo string) (places []outline.Place) {
	for i := range form.MaxRows {
		row := fmt.Sprintf("%s.%d.", marksField, i)
		if v.Get(row+"photo") != photo {
			continue
		}
		x, okX := share(v, row+"x")
		y, okY := share(v, row+"y")
		if okX && okY {
			radius, _ := share(v, row+"radius")
			places = append(places, outline.Place{Left: x, Top: y, Radius: radius, From: outline.SideOf(journal.MarkShape(v.Get(row + "shape"))), Number: i + 1})
		}
	}
	return places
}

// share is what a share that was typed comes to, in percent.
func share(v form.Values, name string) (float64, bool) {
	q, err := unit.Parse[unit.Ratio](strings.TrimSpace(v.Get(name) + " " + v.Get(name+".unit")))
	if err != nil {
		return 0, false
	}
	return q.In(unit.Percent), true
}

// mark puts a place on a photograph into the form: "<width>:<height>:<hex>".
func (t *task) mark(d draft.Draft, on string, x, y int) form.Values {
	size := strings.SplitN(on, ":", 3)
	if len(size) != 3 {
		return d.Values
	}
	width, errW := strconv.Atoi(size[0])
	height, errH := strconv.Atoi(size[1])
	ref, err := media.ParseHex(size[2])
	known := slices.ContainsFunc(t.photoOptions(d), func(o form.Option) bool { return o.Value == ref.String() })
	if errW != nil || errH != nil || err != nil || min(width, height) < 1 || !known {
		return d.Values
	}
	row := shares("", x, y, width, height)
	row["photo"] = []string{ref.String()}
	if t.kind == journal.PhotoMarked {
		row["shape"] = []string{string(journal.RingMark)}
	}
	return t.sheet.Add(d.Values, marksField, row)
}
