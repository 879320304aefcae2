// Package defects draws what defects look like: each from above and cut through,
// in plain lines, so that one can be told from another where it is written down.
// The drawings are our own and are not to scale.
//
//	defects.SVG(journal.Pinhole)   // the drawing
//	defects.Tells(journal.Pinhole) // what tells it apart, in a few words
package defects

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
)

// The size of a drawing.
const (
	Width  = 120
	Height = 96
)

// Path is where the picture of a look lies, "" of what has none.
func Path(look string) string {
	if _, ok := drawn(journal.Look(look)); !ok {
		return ""
	}
	return "/look/" + slug(look)
}

// Find returns the look whose picture lies under a name.
func Find(name string) (journal.Look, bool) {
	list := journal.Look("").Words()
	i := slices.IndexFunc(list, func(w string) bool { return Path(w) != "" && slug(w) == name })
	if i < 0 {
		return "", false
	}
	return journal.Look(list[i]), true
}

// Picture returns the picture that lies under a name, as [SVG] has it.
func Picture(name string) (svg string, ok bool) {
	is, ok := Find(name)
	return SVG(is), ok
}

func slug(look string) string { return strings.ReplaceAll(look, " ", "-") + ".svg" }

// SVG returns a drawing as a picture of its own, dark on paper in any light: from
// above in the upper half, cut through in the lower, where the hatched is metal.
// It is "" of what has none.
func SVG(look journal.Look) string {
	d, ok := drawn(look)
	if !ok {
		return ""
	}
	const (
		frame = `<rect x="3" y="3" width="114" height="44"/>`
		metal = `<path d="M3 82H117M12 82l-7 10M26 82l-7 10M40 82l-7 10M54 82l-7 10M68 82l-7 10M82 82l-7 10M96 82l-7 10M110 82l-7 10"/>`
	)
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%[1]d" height="%[2]d"><rect width="%[1]d" height="%[2]d" fill="#f4efe2"/><g fill="none" stroke="#1f2d4d" stroke-width="1"><g stroke-opacity=".6">%s%s</g><g stroke-width="2" stroke-linejoin="round" stroke-linecap="round">%s%s</g></g></svg>`,
		Width, Height, frame, metal, d.above, d.cut)
}

// Tells says what tells a look apart, "" of what is none in particular. It says
// nothing of causes: what is seen and what is suspected are written down apart.
func Tells(look string) string {
	d, _ := drawn(journal.Look(look))
	return d.tells
}
