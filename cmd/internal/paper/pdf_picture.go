package paper

import (
	"fmt"

	"fettlebook/cmd/internal/pages/chart"

	"rsc.io/qr"
)

// pictures draws photographs in rows, each row as tall as its tallest.
func (p *print) pictures(list Pictures) {
	wide, size := list.wide(), p.size*0.85
	for from := 0; from < len(list.Of); from += list.Across {
		row := list.Of[from:min(from+list.Across, len(list.Of))]
		picture, all := p.rowTall(list, row)
		p.room(all)
		for i, one := range row {
			x := margin + float64(i)*(wide+between)
			p.picture(one, x, wide, picture, list.Tall > 0)
			p.pen(0.25)
			p.pdf.Rect(x, p.y, wide, all, "D")
			y := p.y + picture + 0.6
			for _, line := range p.wrap(one.Caption, size, wide-3) {
				p.line(line, x+1.5, y+size*point, size)
				y += p.lead(size)
			}
		}
		p.y += all + p.gap()
	}
}

// firstRow is how tall the first row of photographs is.
func (p *print) firstRow(list Pictures) (tall float64) {
	_, tall = p.rowTall(list, list.Of[:min(len(list.Of), list.Across)])
	return tall
}

// rowTall is how tall a row of photographs is: the pictures, and with what is said below
// them.
func (p *print) rowTall(list Pictures, row []Picture) (picture, all float64) {
	caption := 0.0
	for _, one := range row {
		picture = max(picture, list.tall(one)*list.wide())
		caption = max(caption, p.tall(one.Caption, p.size*0.85, list.wide()-3))
	}
	return picture, picture + caption + 1.6
}

// between is the space between two photographs side by side.
const between = 4.0

// wide is how wide each is.
func (l Pictures) wide() float64 { return (across - between*float64(l.Across-1)) / float64(l.Across) }

// tall is how tall a picture is, as a share of its width. One that stands is not
// taller than wide.
func (l Pictures) tall(one Picture) float64 {
	switch {
	case l.Tall > 0:
		return l.Tall
	case one.Width == 0:
		return 0.25
	}
	return min(1, float64(one.Height)/float64(one.Width))
}

// picture draws one: cut to its place if that is set, else whole within it.
func (p *print) picture(one Picture, x, wide, tall float64, cut bool) {
	if one.JPEG == nil {
		size := p.size * 0.85
		lines := p.wrap(say(one.Missing), size, wide-6)
		y := p.y + (tall-float64(len(lines))*p.lead(size))/2
		for _, line := range lines {
			p.line(line, x+(wide-lineWide(line))/2, y+size*point, size)
			y += p.lead(size)
		}
		return
	}
	name := p.photo(one.JPEG)
	if p.pdf.Err() {
		return
	}
	ratio := float64(one.Height) / float64(one.Width)
	w := wide // as wide as its place, or as tall
	if fits := wide*ratio <= tall; fits == cut {
		w = tall / ratio
	}
	h := w * ratio
	p.pdf.ClipRect(x, p.y, wide, tall, false)
	p.pdf.ImageOptions(name, x+(wide-w)/2, p.y+(tall-h)/2, w, h, false, jpeg(), 0, "")
	p.pdf.ClipEnd()
}

// chart draws the shapes of a chart.
func (p *print) chart(c Chart) {
	const most = across * 0.7
	scale := most / c.Picture.Width
	p.room(c.Picture.Height*scale + p.lead(p.size))
	x, y := margin+(across-most)/2, p.y
	at := func(q chart.Point) (float64, float64) { return x + q.X*scale, y + q.Y*scale }
	for _, s := range c.Picture.Shapes {
		switch s := s.(type) {
		case chart.Stroke:
			p.stroke(s, scale, at)
		case chart.Ring:
			cx, cy := at(s.At)
			p.chartPen(s.Pen, scale)
			style := "D"
			if s.Filled {
				p.pdf.SetFillColor(22, 35, 63)
				style = "FD"
			}
			p.pdf.Circle(cx, cy, s.Radius*scale, style)
		case chart.Text:
			p.label(s, c.Picture.Letter*scale/point, at)
		}
	}
	p.pdf.SetAlpha(1, "Normal")
	p.pdf.SetDashPattern(nil, 0)
	p.y = y + c.Picture.Height*scale + 0.5
	p.paragraph(say(c.Key), p.size*0.85, margin, across)
	p.y += p.gap()
}

// chartPen takes a pen of a chart.
func (p *print) chartPen(pen chart.Pen, scale float64) {
	p.pen(pen.Width * scale)
	alpha := pen.Opacity
	if alpha == 0 {
		alpha = 1
	}
	p.pdf.SetAlpha(alpha, "Normal")
	var dashes []float64
	for _, d := range pen.Dashes {
		dashes = append(dashes, d*scale)
	}
	p.pdf.SetDashPattern(dashes, 0)
}

func (p *print) stroke(s chart.Stroke, scale float64, at func(chart.Point) (float64, float64)) {
	p.chartPen(s.Pen, scale)
	p.pdf.SetLineCapStyle("round")
	p.pdf.SetLineJoinStyle("round")
	if len(s.Pen.Dashes) > 0 || s.Title == "" {
		p.pdf.SetLineCapStyle("butt")
	}
	for _, piece := range s.Pieces {
		for i, q := range piece {
			px, py := at(q)
			if i == 0 {
				p.pdf.MoveTo(px, py)
			}
			if i > 0 || len(piece) == 1 { // a line to where it is makes a dot
				p.pdf.LineTo(px, py)
			}
		}
		p.pdf.DrawPath("D")
	}
	p.pdf.SetLineCapStyle("butt")
}

func (p *print) label(t chart.Text, size float64, at func(chart.Point) (float64, float64)) {
	p.pdf.SetAlpha(1, "Normal")
	face := Plain
	if t.Figure {
		face = Figure
	}
	text := p.faces[face].printable(t.Text)
	px, py := at(t.At)
	switch w := p.faces[face].measure(text, size); t.Anchor {
	case chart.End:
		px -= w
	case chart.Middle:
		px -= w / 2
	}
	p.set(face, size)
	p.pdf.Text(px, py, text)
}

// code draws a QR code (ISO/IEC 18004) with what is said of it.
func (p *print) code(c Code) {
	const side = 40.0
	code, err := qr.Encode(c.Holds, qr.M)
	if err != nil {
		p.pdf.SetError(fmt.Errorf("draw the code: %w", err))
		return
	}
	size := p.size * 0.85
	tall, wide := 0.0, across-side-4
	for _, t := range c.Beside {
		tall += p.tall(t, size, wide) + p.gap()*0.6
	}
	p.room(max(tall, side) + 2)
	p.double()
	top := p.y
	p.dots(code, margin, top, side)
	for _, t := range c.Beside {
		p.paragraph(t, size, margin+side+4, wide)
		p.y += p.gap() * 0.6
	}
	p.y = max(p.y, top+side) + p.gap()
}

// dots draws a code with its quiet zone of four dots (ISO/IEC 18004).
func (p *print) dots(code *qr.Code, x, y, side float64) {
	const quiet = 4
	dot := side / float64(code.Size+2*quiet)
	p.pdf.SetFillColor(0, 0, 0)
	for row := range code.Size {
		for col := 0; col < code.Size; col++ {
			from := col
			for col < code.Size && code.Black(col, row) {
				col++
			}
			if col > from {
				p.pdf.Rect(x+dot*float64(from+quiet), y+dot*float64(row+quiet), dot*float64(col-from), dot, "F")
			}
		}
	}
}
