package chart

import (
	"html/template"
	"math"
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
	}
)

// SVG draws the strip, or nothing when there is no reading.
func (s Strip) SVG() template.HTML { return s.Picture().SVG() }

// Picture draws the strip as shapes, or none when there is no reading.
func (s Strip) Picture() Picture {
	p, ok := s.extent()
	if !ok {
		return Picture{}
	}
	const row = 36.0
	var names []string
	for _, g := range s.Groups {
		names = append(names, short(g.Name))
	}
	p.left, p.right = max(170, wide(names)+20), width-170
	p.top = 2 * letter
	p.bottom = p.top + row*float64(len(names))
	var step float64
	p.x0, p.x1, step = around(p.x0, p.x1, 6)
	out := newCanvas(p.bottom+foot, s.Title)
	for _, t := range ticks(p.x0, p.x1, step) {
		out.line(p.x(t), p.bottom, p.x(t), p.bottom+6, axis())
		out.text(p.x(t), p.bottom+letter+8, Middle, true, named(t, step))
	}
	out.line(p.left, p.bottom, p.right, p.bottom, axis())
	out.text(p.right+24, p.bottom+letter+8, Start, false, s.Unit)
	s.limits(out, p)
	for i, g := range s.Groups {
		y := p.top + row*(float64(i)+0.5)
		out.line(p.left, y, p.right, y, ruled())
		out.text(p.left-12, y+letter/3, End, false, names[i])
		s.dots(out, p, g, y)
	}
	return out.Picture
}

func (s Strip) limits(out *canvas, p plot) {
	draw := func(l *Limit, anchor Anchor, aside float64) {
		if l == nil || !finite(l.At) {
			return
		}
		x := p.x(l.At)
		out.line(x, p.top-6, x, p.bottom, limit())
		out.text(x+aside, letter, anchor, true, short(l.Name))
	}
	draw(s.Low, End, 4)
	draw(s.High, Start, -4)
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

func (s Strip) extent() (p plot, any bool) {
	p = plot{x0: math.Inf(1), x1: math.Inf(-1)}
	take := func(v float64) bool {
		if finite(v) {
			p.x0, p.x1 = min(p.x0, v), max(p.x1, v)
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
		room := max(p.x1-p.x0, 1) / 20
		p.x0, p.x1 = p.x0-room, p.x1+room
	}
	return p, any
}
