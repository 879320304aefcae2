package paper

// column is where a column of a table stands.
type column struct{ x, wide float64 }

// row draws cells side by side, ruled below. A row stays on one page if it fits on
// one; over is drawn at the top of each page that it is carried on to.
func (p *print) row(cells []Text, at []column, size float64, over func()) {
	const pad = 0.7
	var lines [][][]piece
	most := 0
	for i, c := range cells {
		lines = append(lines, p.wrap(c, size, at[i].wide))
		most = max(most, len(lines[i]))
	}
	tall := float64(most)*p.lead(size) + 2*pad
	if tall < (lowest-margin)/2 && p.y+tall > lowest {
		p.newPage()
		over()
	}
	p.y += pad
	for n := range most {
		if p.y+p.lead(size) > lowest {
			p.newPage()
			over()
		}
		for i := range cells {
			if n < len(lines[i]) {
				p.line(lines[i][n], at[i].x, p.y+size*point, size)
			}
		}
		p.y += p.lead(size)
	}
	p.y += pad
	p.rule()
}

// rule rules a thin line across.
func (p *print) rule() {
	p.pen(0.15)
	p.pdf.SetDrawColor(168, 148, 108)
	p.pdf.Line(margin, p.y, margin+across, p.y)
}

func (p *print) table(t Table) {
	const apart = 3.2
	var at []column
	sum, x := 0.0, margin
	for _, s := range t.Shares {
		sum += s
	}
	for i, s := range t.Shares {
		w := across * s / sum
		wide := w - apart
		if i == len(t.Shares)-1 {
			wide = w
		}
		at = append(at, column{x, wide})
		x += w
	}
	var head []Text
	for _, h := range t.Head {
		head = append(head, say(h))
	}
	size := p.size * 0.92
	if t.Small {
		size = p.size * 0.8
	}
	top := func() { p.row(head, at, p.size*0.8, func() {}) }
	p.room(p.lead(p.size) * 4)
	top()
	for _, r := range t.Rows {
		p.row(r, at, size, top)
	}
	p.y += p.gap()
}

func (p *print) pairs(list Pairs) {
	const name = 30.0
	at := []column{{margin, name - 2}, {margin + name, across - name}}
	for _, one := range list {
		p.row([]Text{strong(one.Name), one.Text}, at, p.size*0.95, func() {})
	}
	p.y += p.gap()
}

// boxes draws boxes side by side, three in a row.
func (p *print) boxes(list Boxes) {
	const gap, pad = 3.0, 1.8
	size := p.size * 0.95
	for from := 0; from < len(list); from += 3 {
		some := list[from:min(from+3, len(list))]
		n := min(3, len(list))
		wide := (across - gap*float64(n-1)) / float64(n)
		tall := 0.0
		for _, one := range some {
			tall = max(tall, p.tall(strong(one.Name), size, wide-2*pad)+p.tall(one.Text, size, wide-2*pad))
		}
		tall += 2 * pad
		p.room(tall)
		top := p.y
		for i, one := range some {
			x := margin + float64(i)*(wide+gap)
			p.pen(0.35)
			p.pdf.Rect(x, top, wide, tall, "D")
			p.y = top + pad
			p.paragraph(strong(one.Name), size, x+pad, wide-2*pad)
			p.paragraph(one.Text, size, x+pad, wide-2*pad)
		}
		p.y = top + tall + p.gap()
	}
	p.y += p.gap() * 0.5
}
