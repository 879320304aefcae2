package chart

import (
	"math"

	"fettlebook/journal/words"
)

// Look is how a line is drawn, which says what it is.
type Look int

// The looks.
const (
	Thick  Look = iota // what counts
	Dashed             // what is shown beside it
)

type (
	// Line is one curve. Its label stands at its end.
	Line struct {
		Label  string
		Stroke Look
		Points []Point
	}

	// Level is a horizontal line that curves are held against.
	Level struct {
		Label string
		At    float64
	}

	// Band is a range of readings, shaded.
	Band struct{ Low, High float64 }

	// Curves are lines over time in minutes.
	Curves struct {
		Title  string // one sentence for who cannot see the picture
		Up     string // the unit of the readings
		Lines  []Line
		Levels []Level
		Band   *Band   // nil for none
		Gap    float64 // minutes; where nothing was read for longer, nothing is drawn

		Writing words.Writing // of the figures
	}
)

// plot is where readings lie in the picture.
type plot struct {
	left, right, top, bottom float64
	x0, x1, y0, y1           float64 // the readings at its edges
}

func (p plot) x(v float64) float64 { return p.left + (v-p.x0)/(p.x1-p.x0)*(p.right-p.left) }
func (p plot) y(v float64) float64 { return p.bottom - (v-p.y0)/(p.y1-p.y0)*(p.bottom-p.top) }

// Picture draws the curves as shapes, or none when there is no reading.
func (c Curves) Picture() Picture { return c.on(roomy) }

func (c Curves) on(s sheet) Picture {
	p, ok := c.extent()
	if !ok {
		return Picture{}
	}
	var names []string
	for _, l := range c.Lines {
		names = append(names, s.beside(l.Label))
	}
	for _, l := range c.Levels {
		names = append(names, s.beside(l.Label))
	}
	var step float64
	p.y0, p.y1, step = around(p.y0, p.y1, 6)
	p.left, p.right, p.top = s.leftOf(heights(p, step, c.Up, c.Writing)), s.width()-wide(names)-30, letter
	least := 328.0
	if s == narrow {
		p.right, least = s.width()-26, 280
	}
	p.bottom = max(least, float64(len(names)+1)*lineSpace)
	out := newCanvas(s, p.bottom+s.foot(), c.Title, c.Writing)
	out.up(p, step, c.Up)
	out.across(p)
	if b := c.Band; b != nil {
		out.line(p.left, p.y((b.Low+b.High)/2), p.right, p.y((b.Low+b.High)/2), Pen{Width: p.y(b.Low) - p.y(b.High), Opacity: 0.14})
	}
	labels := c.levels(out, p)
	for i, l := range c.Lines {
		if end, ok := out.curve(p, l, c.Gap); ok {
			labels = append(labels, label{text: names[i], x: p.x(end.X), y: p.y(end.Y)})
		}
	}
	out.beside(p, labels, 20)
	out.explain()
	return out.Picture
}

// extent finds the range of all readings and levels.
func (c Curves) extent() (p plot, any bool) {
	p = plot{x0: math.Inf(1), x1: math.Inf(-1), y0: math.Inf(1), y1: math.Inf(-1)}
	for _, l := range c.Lines {
		for _, at := range l.Points {
			if finite(at.X) && finite(at.Y) {
				p.x0, p.x1, p.y0, p.y1 = min(p.x0, at.X), max(p.x1, at.X), min(p.y0, at.Y), max(p.y1, at.Y)
				any = true
			}
		}
	}
	for _, l := range c.Levels {
		if finite(l.At) {
			p.y0, p.y1 = min(p.y0, l.At), max(p.y1, l.At)
		}
	}
	if p.x1 <= p.x0 {
		p.x1 = p.x0 + 1
	}
	return p, any
}

// up rules the card across and names the readings.
func (c *canvas) up(p plot, step float64, unit string) {
	names := heights(p, step, unit, c.in)
	for i, t := range ticks(p.y0, p.y1, step) {
		c.line(p.left, p.y(t), p.right, p.y(t), ruled())
		c.text(p.left-beside, p.y(t)+letter/3, End, true, names[i])
	}
	c.line(p.left, p.top, p.left, p.bottom, axis())
}

// heights are the names of the upright axis's ticks, the last one with the unit.
func heights(p plot, step float64, unit string, in words.Writing) (names []string) {
	for _, t := range ticks(p.y0, p.y1, step) {
		names = append(names, in.Number(named(t, step)))
	}
	if n := len(names); n > 0 {
		names[n-1] += " " + unit
	}
	return names
}

// leftOf is where an upright axis stands that has room for its names.
func (s sheet) leftOf(names []string) float64 {
	room := wide(names)*figure/advance + beside + 4
	if s == narrow {
		return room
	}
	return max(92, room)
}

// beside is the space between an axis and its names.
const beside = 8

// across names the minutes.
func (c *canvas) across(p plot) {
	c.line(p.left, p.bottom, p.right, p.bottom, axis())
	step := stepOf(p.x1-p.x0, c.on.steps(8), minutes())
	for _, t := range ticks(p.x0, p.x1, step) {
		c.line(p.x(t), p.bottom, p.x(t), p.bottom+6, axis())
		c.text(p.x(t), p.bottom+letter+8, Middle, true, c.in.Number(named(t, step)))
	}
	c.unit(p, "min")
}

// levels draws what the curves are held against. Levels of one height share
// their line.
func (c Curves) levels(out *canvas, p plot) (labels []label) {
	drawn := make(map[float64]bool)
	for _, l := range c.Levels {
		if !finite(l.At) {
			continue
		}
		if !drawn[l.At] {
			out.line(p.left, p.y(l.At), p.right, p.y(l.At), limit())
		}
		drawn[l.At] = true
		labels = append(labels, label{text: out.on.beside(l.Label), x: p.right, y: p.y(l.At)})
	}
	return labels
}

// curve draws one line and returns its last reading.
func (c *canvas) curve(p plot, l Line, gap float64) (end Point, any bool) {
	is := Stroke{Pen: pen(3.5), Title: l.Label}
	if l.Stroke == Dashed {
		is.Pen = Pen{Width: 2, Dashes: []float64{5, 5}}
	}
	for _, run := range runs(l.Points, gap) { // a reading on its own is a dot
		var piece []Point
		for _, at := range thin(run, p.x0, p.x1, int(p.right-p.left)) {
			piece = append(piece, Point{p.x(at.X), p.y(at.Y)})
			end, any = at, true
		}
		is.Pieces = append(is.Pieces, piece)
	}
	if any {
		c.Shapes = append(c.Shapes, is)
	}
	return end, any
}
