// Package outline draws parts in plain lines, so that a place on them can be
// shown: on the form of a defect, to be tapped, and beside its entry. They are
// like no maker's part.
//
//	outline.SVG(journal.BracketBack)             // the drawing, to be tapped
//	outline.Shown(journal.BracketBack, 43, 27.5) // with a ring about a place
package outline

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"fettlebook/journal"
)

// The size of a drawing, and of its picture on a form.
const (
	Width  = 320
	Height = 240
)

// Of returns the drawings on which a place of a part can be shown; all of them
// for a part of which there is none.
func Of(part string) []journal.Outline {
	var all, fit []journal.Outline
	for _, word := range journal.Outline("").Words() {
		all = append(all, journal.Outline(word))
		if strings.Contains(word, part) {
			fit = append(fit, journal.Outline(word))
		}
	}
	if part == "" || len(fit) == 0 {
		return all
	}
	return fit
}

// Path is where the picture of a drawing lies.
func Path(o journal.Outline) string { return "/outline/" + slug(o) }

// Find returns the drawing whose picture lies under a name.
func Find(name string) (journal.Outline, bool) {
	words := journal.Outline("").Words()
	i := slices.IndexFunc(words, func(w string) bool { return slug(journal.Outline(w)) == name })
	if i < 0 {
		return "", false
	}
	return journal.Outline(words[i]), true
}

// Picture returns the picture that lies under a name, as [SVG] has it.
func Picture(name string) (svg string, ok bool) {
	is, ok := Find(name)
	return SVG(is), ok
}

func slug(o journal.Outline) string {
	return strings.ReplaceAll(strings.ReplaceAll(string(o), ",", ""), " ", "-") + ".svg"
}

// SVG returns a drawing as a picture of its own, dark on paper in any light.
func SVG(o journal.Outline) string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%[1]d" height="%[2]d">%s</svg>`, Width, Height, lines(o))
}

// Shown returns a drawing with a ring about a place, whose shares are in
// percent from the left and from the top.
func Shown(o journal.Outline, left, top float64) template.HTML {
	x, y := left/100*Width, top/100*Height
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %d %d" role="img" aria-label="The place on the drawing: %s">%s<g fill="none" stroke-width="3"><circle cx="%.1f" cy="%.1f" r="11" stroke="#a3281f"/><path d="M%.1[5]f %.1[6]fm-18 0h12m12 0h12m-18 -18v12m0 12v12" stroke="#a3281f"/></g></svg>`,
		Width, Height, template.HTMLEscapeString(string(o)), lines(o), x, y))
}

// Place is a place on a picture: shares in percent from its left edge and from
// its top, and a radius in percent of its width, 0 for a point.
type Place struct {
	Left, Top, Radius float64
	From              Side // where an arrow to the place comes from; "" for a ring about it
	Number            int  // written beside it; 0 for none
}

// Side is a side of a picture.
type Side string

// The sides that an arrow may come from.
const (
	FromLeft  Side = "left"
	FromRight Side = "right"
	FromAbove Side = "above"
	FromBelow Side = "below"
)

// SideOf is where an arrow comes from; "" of what is not one.
func SideOf(shape journal.MarkShape) Side {
	switch shape {
	case journal.ArrowFromLeft:
		return FromLeft
	case journal.ArrowFromRight:
		return FromRight
	case journal.ArrowFromAbove:
		return FromAbove
	case journal.ArrowFromBelow:
		return FromBelow
	}
	return ""
}

// Rings returns the marks alone, to lie over a picture that is so wide and so high;
// "" without any.
func Rings(width, height int, places []Place) template.HTML {
	if len(places) == 0 {
		return ""
	}
	var all strings.Builder
	for _, p := range places {
		p.draw(&all, float64(width), float64(height))
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %d %d" aria-hidden="true">%s</svg>`, width, height, &all))
}

// draw draws a mark in ink on a lighter line, so that it stands out on any picture.
func (p Place) draw(all *strings.Builder, w, h float64) {
	x, y, thick := p.Left/100*w, p.Top/100*h, w/120
	r := max(p.Radius/100*w, w/60)
	shape := fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="%.1f"`, x, y, r)
	// The number stands outside the mark, and inside the picture.
	letter := w / 22
	nx, ny := x+r*0.75+letter*0.5, y-r*0.75
	if p.From != "" {
		dx, dy := p.From.towards()
		long := w / 6
		shape = fmt.Sprintf(`<path d="M%.1f %.1fL%.1f %.1fM%.1f %.1fL%.1f %.1fL%.1f %.1f"`, x-dx*long, y-dy*long, x, y,
			x-(dx+dy*0.6)*long/4, y-(dy+dx*0.6)*long/4, x, y, x-(dx-dy*0.6)*long/4, y-(dy-dx*0.6)*long/4)
		nx, ny = x-dx*(long+letter*0.6), y-dy*(long+letter*0.6)
	}
	fmt.Fprintf(all, `<g fill="none">%s stroke="#f4efe2" stroke-width="%.1f"/>%[1]s stroke="#a3281f" stroke-width="%.1[3]f"/></g>`, shape, 2*thick, thick)
	if p.Number > 0 {
		fmt.Fprintf(all, `<text x="%.1f" y="%.1f" font-family="sans-serif" font-size="%.1f" font-weight="700" text-anchor="middle" fill="#a3281f" stroke="#f4efe2" stroke-width="%.1f" stroke-linejoin="round" paint-order="stroke">%d</text>`,
			min(max(nx, letter/2), w-letter/2), min(max(ny+letter*0.35, letter), h-letter/5), letter, thick*1.5, p.Number)
	}
}

// towards is the direction in which an arrow from a side points.
func (s Side) towards() (dx, dy float64) {
	switch s {
	case FromRight:
		return -1, 0
	case FromAbove:
		return 0, 1
	case FromBelow:
		return 0, -1
	default:
		return 1, 0
	}
}

func lines(o journal.Outline) string {
	return fmt.Sprintf(`<rect width="%d" height="%d" fill="#f4efe2"/><g fill="none" stroke="#1f2d4d" stroke-width="3" stroke-linejoin="round">%s</g>`, Width, Height, shape(o))
}

// shape is the lines of a drawing.
func shape(o journal.Outline) string {
	const (
		floating = `<path d="M60 70Q160 30 260 70L282 150Q270 186 236 190H84Q50 186 38 150Z"/><circle cx="36" cy="120" r="13"/><circle cx="284" cy="120" r="13"/>`
		fixed    = `<path d="M40 80Q160 34 280 80L292 160Q280 192 250 194H70Q40 192 28 160Z"/><circle cx="56" cy="172" r="9"/><circle cx="264" cy="172" r="9"/>`
		bracket  = `<path d="M30 70H90V110H230V70H290V180H240V150H80V180H30Z"/><circle cx="60" cy="132" r="10"/><circle cx="260" cy="132" r="10"/>`
		arm      = `<path d="M40 60L150 100Q200 116 280 116V144Q200 148 150 150L48 192L36 172L112 126L28 82Z"/><circle cx="46" cy="72" r="12"/><circle cx="50" cy="180" r="12"/>`
	)
	switch o {
	case journal.FloatingOuter:
		return floating + `<path d="M112 82V176M160 76V178M208 82V176"/>`
	case journal.FloatingInner:
		return floating + `<circle cx="160" cy="126" r="42"/><circle cx="160" cy="126" r="30"/><path d="M226 66l14 -22"/>`
	case journal.FixedOuter:
		return fixed + `<path d="M92 102H228M92 124H228M160 56V190"/>`
	case journal.FixedInner:
		return fixed + `<circle cx="106" cy="130" r="30"/><circle cx="214" cy="130" r="30"/>`
	case journal.BracketFront:
		return bracket + `<path d="M104 118H216M104 138H216"/>`
	case journal.BracketBack:
		return bracket + `<circle cx="110" cy="130" r="12"/><circle cx="210" cy="130" r="12"/>`
	case journal.ArmTop:
		return arm + `<circle cx="262" cy="130" r="10"/>`
	case journal.ArmBottom:
		return arm + `<rect x="248" y="118" width="24" height="24"/>`
	}
	return ""
}
