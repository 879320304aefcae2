package write

import (
	"fmt"
	"maps"
	"net/http"
	"strconv"
	"strings"

	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
	"fettlebook/journal/card"
)

// drawing is a drawing of the part on which the place of a defect is tapped.
type drawing struct {
	Name, Path, Tap string
	Width, Height   int
	On              bool // the one that is chosen
}

// drawings are those that fit the part of a defect.
func (t *task) drawings(v form.Values) (list []drawing) {
	if t.kind != journal.DefectFound {
		return nil
	}
	for _, o := range outline.Of(strings.ToLower(card.Base(t.subject.Part()))) {
		list = append(list, drawing{string(o), outline.Path(o), tapName + string(o), outline.Width, outline.Height, v.Get("outline") == string(o)})
	}
	return list
}

// tapName begins the name of a drawing that was tapped. A browser sends where,
// in pixels, as NAME.x and NAME.y.
const tapName = "tap:"

// tapped takes one of the two in, and reports whether it was one. Both make
// the press "tap:<left>:<top>:<drawing>".
func (in *posted) tapped(name, text string) bool {
	rest, ok := strings.CutPrefix(name, tapName)
	on, side, found := strings.Cut(rest, ".")
	if !ok || !found {
		return false
	}
	if in.tap[side] = text; in.tap["x"] != "" && in.tap["y"] != "" {
		in.do = tapName + in.tap["x"] + ":" + in.tap["y"] + ":" + on
	}
	return true
}

// tap puts a place on a drawing, or on a photograph, into the form.
func (t *task) tap(d draft.Draft, at string) form.Values {
	v := form.Values(d.Values)
	left, rest, _ := strings.Cut(at, ":")
	top, on, _ := strings.Cut(rest, ":")
	x, errX := strconv.Atoi(left)
	y, errY := strconv.Atoi(top)
	if errX != nil || errY != nil || min(x, y) < 0 || max(x, y) == 0 || t.kind != journal.DefectFound { // a key that presses a picture sends 0 and 0
		return v
	}
	if photo, ok := strings.CutPrefix(on, markName); ok {
		return t.mark(d, photo, x, y)
	}
	c := maps.Clone(v)
	c["outline"] = []string{on}
	maps.Copy(c, shares("", x, y, outline.Width, outline.Height))
	return c
}

// shares are the fields x and y, with what stands before their names, of a
// place that was tapped on a picture.
func shares(before string, x, y, width, height int) form.Values {
	share := func(n, whole int) []string {
		return []string{fmt.Sprintf("%.1f", min(float64(n)/float64(whole)*100, 100))}
	}
	return form.Values{before + "x": share(x, width), before + "x.unit": {"%"}, before + "y": share(y, height), before + "y.unit": {"%"}}
}

// outline serves the picture of a drawing.
func (w *Writer) outline(rw http.ResponseWriter, r *http.Request) {
	o, ok := outline.Find(r.PathValue("name"))
	if !ok {
		w.missing(rw, r, http.StatusNotFound, "There is no such drawing.")
		return
	}
	picture(rw, outline.SVG(o))
}

// look serves the picture of what a defect looks like.
func (w *Writer) look(rw http.ResponseWriter, r *http.Request) {
	l, ok := defects.Find(r.PathValue("name"))
	if !ok {
		w.missing(rw, r, http.StatusNotFound, "There is no such drawing.")
		return
	}
	picture(rw, defects.SVG(l))
}

func picture(rw http.ResponseWriter, svg string) {
	rw.Header().Set("Content-Type", "image/svg+xml")
	rw.Header().Set("Cache-Control", "private, max-age=86400")
	_, _ = rw.Write([]byte(svg)) // who left does not need it
}
