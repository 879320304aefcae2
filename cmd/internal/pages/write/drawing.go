package write

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

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

// tap puts a place on a drawing into the form.
func (t *task) tap(v form.Values, at string) form.Values {
	var px [2]float64
	for i, whole := range []float64{outline.Width, outline.Height} {
		text, rest, _ := strings.Cut(at, ":")
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return v
		}
		px[i], at = min(float64(n)/whole*100, 100), rest
	}
	if t.kind != journal.DefectFound {
		return v
	}
	c := form.Values{}
	for name, list := range v {
		c[name] = list
	}
	c["outline"] = []string{at}
	for i, name := range []string{"x", "y"} {
		c[name], c[name+".unit"] = []string{fmt.Sprintf("%.1f", px[i])}, []string{"%"}
	}
	return c
}

// outline serves the picture of a drawing.
func (w *Writer) outline(rw http.ResponseWriter, r *http.Request) {
	o, ok := outline.Find(r.PathValue("name"))
	if !ok {
		w.missing(rw, r, http.StatusNotFound, "There is no such drawing.")
		return
	}
	rw.Header().Set("Content-Type", "image/svg+xml")
	rw.Header().Set("Cache-Control", "private, max-age=86400")
	_, _ = rw.Write([]byte(outline.SVG(o))) // who left does not need it
}
