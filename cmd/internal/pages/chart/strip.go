package chart

import (
	"math"

	"fettlebook/journal/words"
)

type (
	// Group is one row of readings: a spot, a step.
	Group struct {
		Name     string
		Readings []float64
		Mean     float64 // drawn as a bar; not a number for none
	}

	// Limit is a figure that readings are held against.
	Limit struct {
		Name string // "at least 60 µm"
		At   float64
	}

	// Strip is readings as dots against their limits, a row for each group.
	// Readings outside are filled, so that ink alone tells them apart.
	Strip struct {
		Title     string // one sentence for who cannot see the picture
		Unit      string
		Groups    []Group
		Low, High *Limit // either may be nil

		Writing words.Writing // of the figures
	}
)

// Draw draws the strip. Its table is left to whoever knows what the readings are.
func (s Strip) Draw() Drawing { return Drawing{}.of(s) }

// Picture draws the strip as shapes, or none when there is no reading.
func (s Strip) Picture() Picture { return s.on(roomy) }

func (s Strip) on(sheet sheet) Picture {
	low, high, ok := s.extent()
	if !ok {
		return Picture{}
	}
	var list []row
	for _, g := range s.Groups {
		list = append(list, row{name: g.Name})
	}
	top := 2 * letter
	if sheet == narrow { // a line for each limit
		top += lineSpace
	}
	p := sheet.below(top, list, 36, room{letters: longest, least: 170, word: 170})
	var step float64
	p.x0, p.x1, step = around(low, high, sheet.steps(6))
	out := newCanvas(sheet, p.bottom+sheet.foot(), s.Title, s.Writing)
	out.scale(p.plot, step, s.Unit)
	s.limits(out, p)
	for i, g := range s.Groups {
		y := p.at[i]
		out.line(p.left, y, p.right, y, ruled())
		p.name(out, i)
		s.dots(out, p.plot, g, y)
	}
	return out.Picture
}

// limits draws the limits with their names at their heads: below each other where they
// have no room beside each other.
func (s Strip) limits(out *canvas, p *rows) {
	draw := func(l *Limit, anchor Anchor, aside, line float64) {
		if l == nil || !finite(l.At) {
			return
		}
		x, name := p.x(l.At), short(l.Name)
		p.upright(out, x, limit())
		if p.on == roomy {
			out.text(x+aside, letter, anchor, true, name)
			return
		}
		half := wide([]string{name}) / 2
		out.text(max(half, min(x, out.Width-half)), letter+line*lineSpace, Middle, true, name)
	}
	draw(s.Low, End, 4, 0)
	draw(s.High, Start, -4, 1)
}

func (s Strip) dots(out *canvas, p plot, g Group, y float64) {
	for _, v := range g.Readings {
		if !finite(v) {
			continue
		}
		out.Shapes = append(out.Shapes, Ring{Point{p.x(v), y}, 7, pen(2), s.outside(v)})
	}
	if finite(g.Mean) {
		out.line(p.x(g.Mean), y-13, p.x(g.Mean), y+13, pen(4))
	}
}

func (s Strip) outside(v float64) bool {
	return s.Low != nil && v < s.Low.At || s.High != nil && v > s.High.At
}

func (s Strip) extent() (low, high float64, any bool) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v float64) bool {
		if finite(v) {
			low, high = min(low, v), max(high, v)
			return true
		}
		return false
	}
	for _, g := range s.Groups {
		for _, v := range g.Readings {
			any = take(v) || any
		}
		take(g.Mean)
	}
	for _, l := range []*Limit{s.Low, s.High} {
		if l != nil {
			take(l.At)
		}
	}
	if any {
		// Room to either side, so that no dot lies on the edge.
		room := max(high-low, 1) / 20
		low, high = low-room, high+room
	}
	return low, high, any
}
