package chart

import (
	"encoding/xml"
	"html/template"
	"strconv"
	"strings"

	"fettlebook/journal/words"
)

type (
	// Picture is a chart as shapes, in units of its own from the upper left corner,
	// so that whatever draws them shows the same. The zero Picture is none.
	Picture struct {
		Width, Height float64
		Title         string // one sentence for who cannot see the picture
		Letter        float64
		Shapes        []Shape
	}

	// Shape is one thing that is drawn: a [Stroke], a [Text] or a [Ring].
	Shape interface{ svg(*strings.Builder) }

	// Pen is how a line is drawn. Lines are told apart by width and dashes.
	Pen struct {
		Width   float64
		Opacity float64   // 0 is opaque
		Dashes  []float64 // a dash, a gap; nil is a whole line
	}

	// Stroke is a line through points. Where it is in pieces, nothing is drawn
	// between them; a piece of one point is a dot.
	Stroke struct {
		Pieces [][]Point
		Pen    Pen
		Title  string // what a curve is
	}

	// Text is a label whose letters stand on a point.
	Text struct {
		At     Point
		Anchor Anchor
		Figure bool // in the face of figures
		Text   string
	}

	// Ring is a reading of its own, filled or not.
	Ring struct {
		At     Point
		Radius float64
		Pen    Pen
		Filled bool
	}
)

// Anchor is which end of a label is where it stands.
type Anchor string

// The anchors.
const (
	Start  Anchor = "start"
	Middle Anchor = "middle"
	End    Anchor = "end"
)

// IsZero reports whether there is nothing to draw.
func (p Picture) IsZero() bool { return len(p.Shapes) == 0 }

// The pens.
func ruled() Pen        { return Pen{Width: 1, Opacity: 0.4} }
func axis() Pen         { return Pen{Width: 1.5} }
func leader() Pen       { return Pen{Width: 1, Opacity: 0.7} }
func limit() Pen        { return Pen{Width: 1.5, Dashes: []float64{10, 4}} }
func pen(w float64) Pen { return Pen{Width: w} }

// canvas gathers the shapes of one picture.
type canvas struct {
	Picture
	on   sheet
	keys []string // what the letters of a narrow picture stand for
	in   words.Writing
}

func newCanvas(on sheet, height float64, title string, in words.Writing) *canvas {
	return &canvas{Picture{Width: on.width(), Height: height, Title: title, Letter: letter}, on, nil, in}
}

func (c *canvas) line(x1, y1, x2, y2 float64, with Pen) {
	c.Shapes = append(c.Shapes, Stroke{Pieces: [][]Point{{{x1, y1}, {x2, y2}}}, Pen: with})
}

func (c *canvas) text(x, y float64, anchor Anchor, figure bool, text string) {
	c.Shapes = append(c.Shapes, Text{Point{x, y}, anchor, figure, text})
}

// SVG draws the picture; "" of none.
func (p Picture) SVG() template.HTML {
	if p.IsZero() {
		return ""
	}
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ` + num(p.Width) + ` ` + num(p.Height) +
		`" role="img" class="chart" fill="currentColor" font-size="` + num(p.Letter) + `"><title>` + escaped(p.Title) + `</title>`)
	for _, s := range p.Shapes {
		s.svg(&b)
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) // all text in it went through escaped
}

// look is a pen as presentation attributes.
func (p Pen) look() string {
	text := `stroke-width="` + num(p.Width) + `"`
	if p.Opacity > 0 {
		text += ` stroke-opacity="` + num(p.Opacity) + `"`
	}
	if len(p.Dashes) > 0 {
		var dashes []string
		for _, d := range p.Dashes {
			dashes = append(dashes, num(d))
		}
		text += ` stroke-dasharray="` + strings.Join(dashes, " ") + `"`
	}
	return text
}

func (s Stroke) svg(b *strings.Builder) {
	if s.Title == "" && len(s.Pieces) == 1 && len(s.Pieces[0]) == 2 {
		from, to := s.Pieces[0][0], s.Pieces[0][1]
		b.WriteString(`<line x1="` + num(from.X) + `" y1="` + num(from.Y) + `" x2="` + num(to.X) + `" y2="` + num(to.Y) + `" stroke="currentColor" ` + s.Pen.look() + `/>`)
		return
	}
	b.WriteString(`<path d="`)
	for _, piece := range s.Pieces {
		for i, at := range piece {
			b.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + num(at.X) + " " + num(at.Y))
		}
		if len(piece) == 1 {
			b.WriteString("h0")
		}
	}
	b.WriteString(`" fill="none" stroke="currentColor" stroke-linejoin="round" stroke-linecap="round" ` + s.Pen.look() + `><title>` + escaped(s.Title) + `</title></path>`)
}

func (t Text) svg(b *strings.Builder) {
	b.WriteString(`<text x="` + num(t.At.X) + `" y="` + num(t.At.Y) + `" text-anchor="` + string(t.Anchor) + `"`)
	if t.Figure {
		b.WriteString(` class="n"`)
	}
	b.WriteString(`>` + escaped(t.Text) + `</text>`)
}

func (r Ring) svg(b *strings.Builder) {
	fill := `fill="none"`
	if r.Filled {
		fill = `fill="currentColor"`
	}
	b.WriteString(`<circle cx="` + num(r.At.X) + `" cy="` + num(r.At.Y) + `" r="` + num(r.Radius) + `" stroke="currentColor" ` + r.Pen.look() + ` ` + fill + `/>`)
}

// num writes a coordinate to a tenth, always the same way.
func num(v float64) string {
	text := strconv.FormatFloat(v, 'f', 1, 64)
	if text = strings.TrimSuffix(text, ".0"); text == "-0" {
		return "0"
	}
	return text
}

func escaped(text string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(text)); err != nil {
		return "" // a strings.Builder takes everything
	}
	return b.String()
}
