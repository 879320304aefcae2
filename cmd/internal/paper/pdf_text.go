package paper

import (
	"strings"
	"unicode/utf8"
)

// piece is a part of a line in one face, where it begins and how wide it is.
type piece struct {
	text string
	face Face
	x, w float64
}

// lead is the height of a line.
func (p *print) lead(size float64) float64 { return size * point * 1.32 }

// set takes a face and a size of letters.
func (p *print) set(f Face, size float64) {
	t := p.faces[f]
	p.pdf.SetFont(t.family, t.style, size*t.scale)
	p.pdf.SetTextColor(22, 35, 63)
}

// wrap breaks a text into lines: at spaces, and within a word only if it is wider
// than a line.
func (p *print) wrap(t Text, size, wide float64) (lines [][]piece) {
	var line []piece
	x := 0.0
	end := func() {
		lines = append(lines, line)
		line, x = nil, 0
	}
	put := func(text string, face Face, w float64) {
		if n := len(line); n > 0 && line[n-1].face == face {
			line[n-1].text += text
			line[n-1].w += w
		} else {
			line = append(line, piece{text, face, x, w})
		}
		x += w
	}
	for _, word := range p.words(t, size) {
		if word[0].face == Break {
			end()
			continue
		}
		w := word.wide()
		if x > 0 && x+w > wide+0.01 {
			end()
		}
		if x == 0 && word[0].space {
			word = word[1:]
			w = word.wide()
		}
		if w <= wide {
			for _, part := range word {
				put(part.text, part.face, part.w)
			}
			continue
		}
		for _, part := range word {
			face := p.faces[part.face]
			for _, r := range part.text {
				rw := face.measure(string(r), size)
				if x > 0 && x+rw > wide {
					end()
				}
				put(string(r), part.face, rw)
			}
		}
	}
	if len(line) > 0 {
		end()
	}
	return lines
}

// part is a part of a word in one face. A space before the word is a part too.
type part struct {
	text  string
	face  Face
	w     float64
	space bool
}

type word []part

func (w word) wide() (mm float64) {
	for _, p := range w {
		mm += p.w
	}
	return mm
}

// words cuts a text where it may be broken.
func (p *print) words(t Text, size float64) (list []word) {
	var now word
	end := func() {
		if len(now) > 0 && !now[len(now)-1].space {
			list = append(list, now)
			now = nil
		}
	}
	for _, r := range t {
		if r.Face == Break {
			end()
			list, now = append(list, word{{face: Break}}), nil
			continue
		}
		face := p.faces[r.Face]
		text := face.printable(r.Text)
		for text != "" {
			if text[0] == ' ' {
				end()
				if len(list)+len(now) > 0 && len(now) == 0 {
					now = word{{" ", r.Face, face.measure(" ", size), true}}
				}
				text = text[1:]
				continue
			}
			n := strings.IndexByte(text, ' ')
			if n < 0 {
				n = len(text)
			}
			now = append(now, part{text[:n], r.Face, face.measure(text[:n], size), false})
			text = text[n:]
		}
	}
	end()
	return list
}

// line draws one line of pieces whose letters stand on y.
func (p *print) line(line []piece, x, y, size float64) {
	for _, one := range line {
		if utf8.RuneCountInString(one.text) == 0 {
			continue
		}
		p.set(one.face, size)
		p.pdf.Text(x+one.x, y, one.text)
		if one.face == Struck {
			p.pen(0.25)
			p.pdf.Line(x+one.x, y-size*point*0.27, x+one.x+one.w, y-size*point*0.27)
		}
	}
}

// paragraph draws a text at x, as wide as it may be, over pages if it must.
func (p *print) paragraph(t Text, size, x, wide float64) {
	for _, line := range p.wrap(t, size, wide) {
		p.room(p.lead(size))
		p.line(line, x, p.y+size*point, size)
		p.y += p.lead(size)
	}
}

// tall is how tall a text is.
func (p *print) tall(t Text, size, wide float64) float64 {
	return float64(len(p.wrap(t, size, wide))) * p.lead(size)
}

func (p *print) head(h Head) {
	size := p.size * 0.85
	const third = across / 3
	plate := Text{{h.Plate, Figure}}
	big := p.size * 1.6
	for p.faces[Figure].measure(p.faces[Figure].printable(h.Plate), big) > third-6 && big > 6 {
		big -= 0.5
	}
	left, right := p.wrap(say(h.Shop), size, third-4), [][]piece{}
	for _, r := range h.Right {
		right = append(right, p.wrap(say(r), size, third-4)...)
	}
	middle := p.wrap(plate, big, third-4)
	tall := max(float64(max(len(left), len(right)))*p.lead(size), float64(len(middle))*p.lead(big)+2)
	p.room(tall)
	foot := p.y + tall
	for i, line := range left {
		p.line(line, margin, foot-float64(len(left)-1-i)*p.lead(size)-1.2, size)
	}
	for i, line := range right {
		p.line(line, margin+across-lineWide(line), foot-float64(len(right)-1-i)*p.lead(size)-1.2, size)
	}
	if len(middle) > 0 {
		w := 0.0
		for _, line := range middle {
			w = max(w, lineWide(line))
		}
		box := float64(len(middle)) * p.lead(big)
		x := margin + (across-w)/2
		p.pen(0.5)
		p.pdf.RoundedRect(x-2.5, foot-box-1, w+5, box, 1, "1234", "D")
		for i, line := range middle {
			p.line(line, x, foot-box-1+float64(i)*p.lead(big)+big*point, big)
		}
	}
	p.y = foot + 1
	p.double()
}

func lineWide(line []piece) (w float64) {
	for _, one := range line {
		w = max(w, one.x+one.w)
	}
	return w
}

// double rules a double line across.
func (p *print) double() {
	p.pen(0.35)
	p.pdf.Line(margin, p.y, margin+across, p.y)
	p.pdf.Line(margin, p.y+0.9, margin+across, p.y+0.9)
	p.y += 0.9 + p.gap()
}

func (p *print) headingSize(h Heading) (size, above float64) {
	switch h.Level {
	case 1:
		return p.size * 1.45, 0.5
	case 2:
		return p.size * 1.15, p.gap() * 1.6
	}
	return p.size, p.gap()
}

func (p *print) headingTall(h Heading) float64 {
	size, above := p.headingSize(h)
	return above + p.tall(strong(h.Text), size, across)
}

func (p *print) heading(h Heading) {
	size, above := p.headingSize(h)
	if p.y > margin {
		p.y += above
	}
	p.pdf.Bookmark(p.faces[Plain].printable(h.Text), h.Level-1, p.y)
	p.paragraph(strong(h.Text), size, margin, across)
	if h.Level == 2 {
		p.pen(0.3)
		p.pdf.Line(margin, p.y+0.3, margin+across, p.y+0.3)
		p.y += 1
	}
	p.y += p.gap() * 0.6
}

func (p *print) caution(c Caution) {
	const inset = 4
	tall := p.tall(c.Text, p.size, across-inset)
	p.room(tall + 2)
	from := p.y
	p.y += 0.8
	page := p.pages
	p.paragraph(c.Text, p.size, margin+inset, across-inset)
	if p.pages == page {
		p.pen(1.2)
		p.pdf.Line(margin+1, from, margin+1, p.y+0.5)
	}
	p.y += p.gap() + 0.5
}

func (p *print) list(l List) {
	const inset = 4
	for _, t := range l {
		p.room(p.lead(p.size))
		p.line([]piece{{"–", Plain, 0, 2}}, margin+0.5, p.y+p.size*point, p.size)
		p.paragraph(t, p.size, margin+inset, across-inset)
	}
	p.y += p.gap()
}
