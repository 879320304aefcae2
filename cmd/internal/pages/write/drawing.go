package write

import (
	"fmt"
	"html/template"
	"maps"
	"strconv"
	"strings"

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
	On              bool          // the one that is chosen
	Rings           template.HTML // about the place on it, "" while there is none
}

// drawings are those that fit the part of a defect.
func (t *task) drawings(v form.Values) (list []drawing) {
	if t.kind != journal.DefectFound {
		return nil
	}
	for _, o := range outline.Of(strings.ToLower(card.Base(t.subject.Part()))) {
		one := drawing{Name: string(o), Path: outline.Path(o), Tap: tapName + string(o), Width: outline.Width, Height: outline.Height, On: v.Get("outline") == string(o)}
		x, okX := share(v, "x")
		y, okY := share(v, "y")
		if one.On && okX && okY {
			one.Rings = outline.Rings(outline.Width, outline.Height, []outline.Place{{Left: x, Top: y}})
		}
		list = append(list, one)
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
	byKey := max(x, y) == 0 // a key that presses a picture sends 0 and 0
	photo, marks := strings.CutPrefix(on, markName)
	switch {
	case errX != nil || errY != nil || min(x, y) < 0 || !t.marks() || marks && byKey:
		return v
	case marks:
		return t.mark(d, photo, x, y)
	case t.kind != journal.DefectFound:
		return v
	}
	c := maps.Clone(v)
	if c["outline"] = []string{on}; !byKey {
		maps.Copy(c, shares("", x, y, outline.Width, outline.Height))
	} else if v.Get("outline") != on { // where on it is typed, and is not where it was on another
		c["x"], c["y"] = nil, nil
	}
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

// tappedAt is the piece of the page at which somebody goes on who tapped a picture,
// or chose it by a key.
func tappedAt(at string) string {
	left, rest, _ := strings.Cut(at, ":")
	top, on, _ := strings.Cut(rest, ":")
	switch {
	case strings.HasPrefix(on, markName):
		return "#marking"
	case left == "0" && top == "0":
		return "#" + form.ID("x")
	}
	return "#drawings"
}
