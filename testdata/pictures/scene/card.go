package scene

const cardWidth, cardHeight = 480, 290

func ink() rgb { return hex(0x16233f) }

func cardStock() material {
	return material{base: hex(0xf1e8d4), spot: hex(0xebe0c8), spots: 0.3, rough: 0.06}
}

// jobCard lays the job card into the frame: plate, corner, cast mark, stage and date.
func (p pen) jobCard(s Shot) {
	card := rounded(0, 0, cardWidth, cardHeight, 8)
	p.shadow(card, 8, 10, 16, 0.6)
	p.relief(card, cardStock(), 2)
	rule := hex(0xb9a987)
	p.fill(box(0, 92, cardWidth, 3), ink(), 0.9)
	p.fill(box(0, 168, cardWidth, 2), rule, 1)
	p.fill(box(0, 230, cardWidth, 2), rule, 1)
	p.fill(box(150, 94, 2, 75), rule, 1)
	p.fill(circle(452, 26, 9), hex(0x4b463d), 1) // where it hangs on the board

	plate, w := letters(p.faces.print, 66, s.Plate)
	fit := min(1, 400/w)
	p.move(24, 72).size(fit).fill(plate, ink(), 1)
	p.centred(p.faces.print, 75, 154, 66, s.Corner, ink())
	mark, w := letters(p.faces.mono, 56, s.Casting)
	p.move(172, 151).size(min(1, 290/w)).fill(mark, ink(), 1)
	p.write(p.faces.pen, 24, 216, 42, string(s.Stage), hex(0x8c2f14))
	if !s.Taken.IsZero() {
		p.write(p.faces.mono, 24, 275, 38, s.Taken.Format("2006-01-02 15:04"), ink())
	}
}

// tag is a part tag on a wire: corner and cast mark.
func (p pen) tag(s Shot) {
	p.relief(line(5, curve(pt{-10, 0}, pt{-60, -30}, pt{-130, -20})...), steel(), 3)
	body := solid(pt{0, -12}, pt{40, -60}, pt{330, -60}, pt{330, 60}, pt{40, 60}, pt{0, 12})
	p.shadow(body, 6, 8, 10, 0.55)
	p.relief(body, material{base: hex(0xe3cf9a), spot: hex(0xd8c189), spots: 0.4, rough: 0.1}, 2)
	p.relief(ring(30, 0, 15, 8), zinc(), 3)
	p.write(p.faces.print, 62, 8, 62, s.Corner, ink())
	p.write(p.faces.mono, 62, 48, 36, s.Casting, ink())
	p.write(p.faces.pen, 190, 2, 28, "caliper", ink())
}

// bagged is a bag with two bolts and a pin in it.
func (p pen) bagged(s Shot, w, h float64) {
	p.move(40, h*0.36).turn(6).size(0.62).boltSide(230, 34, zinc())
	p.move(50, h*0.55).turn(-7).size(0.62).boltSide(230, 34, zinc())
	p.move(44, h*0.82).turn(3).size(0.55).pin(220, true)
	p.bag(s, w, h)
}

// bag is a clear bag with a zip edge and a white label that carries the corner.
func (p pen) bag(s Shot, w, h float64) {
	body := rounded(0, 0, w, h, 14)
	p.shadow(body, 8, 10, 18, 0.4)
	p.fill(body, hex(0xdfe6ea), 0.22)
	for i := range 7 { // creases that catch the lamp
		x, y := w*(0.05+0.9*p.rand.Float64()), h*(0.25+0.7*p.rand.Float64())
		dx, dy := w*(0.1+0.12*p.rand.Float64()), h*(0.16*p.rand.Float64()-0.08)
		p.soft(line(3+float64(i%3)*2, curve(pt{x - dx, y - dy}, pt{x, y + 8}, pt{x + dx, y + dy})...), rgb{1, 1, 1}, 0.4, 4)
	}
	p.fill(box(0, 30, w, 7), hex(0x2f6fb0), 0.75)
	p.fill(box(0, 44, w, 4), hex(0xffffff), 0.6)
	p.fill(body.less(rounded(4, 4, w-8, h-8, 12)), rgb{1, 1, 1}, 0.4)
	p.relief(rounded(w-250, h-150, 230, 130, 6), material{base: hex(0xf7f6f1)}, 2)
	p.centred(p.faces.print, w-135, h-70, 92, s.Corner, ink())
	p.centred(p.faces.mono, w-135, h-34, 32, s.Casting, ink())
}
