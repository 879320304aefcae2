package scene

// car is the side of a small car about the origin, standing on y = 150. Nobody makes it.
func (p pen) car(s Shot) {
	p.soft(oval(0, 158, 620, 30), rgb{}, 0.75, 30)
	body := blob(pt{-590, 90}, pt{-600, 0}, pt{-560, -70}, pt{-330, -105}, pt{-190, -235}, pt{-20, -285}, pt{230, -280}, pt{430, -215},
		pt{540, -80}, pt{585, -40}, pt{590, 70}, pt{560, 112}, pt{0, 118}, pt{-540, 116})
	p.relief(body, bodywork(s.paint()), 46)
	glass := material{base: hex(0x2a333b), shine: 0.6, gloss: 4, rough: 0.01, metal: 0.6}
	p.relief(blob(pt{-270, -112}, pt{-170, -212}, pt{-40, -248}, pt{50, -250}, pt{50, -108}, pt{-100, -104}), glass, 8)
	p.relief(blob(pt{84, -250}, pt{220, -246}, pt{360, -200}, pt{410, -120}, pt{300, -104}, pt{84, -106}), glass, 8)
	for _, x := range []float64{-286, 67, 330} {
		p.fill(line(4, curve(pt{x, -100}, pt{x + 8, 0}, pt{x - 4, 104})...), rgb{}, 0.5)
	}
	p.relief(rounded(-20, -66, 66, 16, 8), chrome(), 6)
	p.relief(rounded(250, -66, 66, 16, 8), chrome(), 6)
	p.relief(blob(pt{-586, -30}, pt{-500, -58}, pt{-470, -40}, pt{-520, -12}), chrome(), 12)
	p.relief(blob(pt{560, -60}, pt{520, -84}, pt{506, -20}, pt{578, -10}), plastic(hex(0xa01f1c)), 10)
	p.relief(box(-560, 84, 1110, 30), plastic(hex(0x2a2c2f)), 10)
	for _, x := range []float64{-370, 370} {
		p.fill(circle(x, 62, 118), hex(0x0c0d0e), 1)
		w := p.move(x, 62)
		w.size(0.26).wheel(400, cured(s.colour()))
	}
	for _, x := range []float64{-150, 170} { // light in the windows
		p.fill(solid(pt{x, -212}, pt{x + 40, -222}, pt{x - 10, -118}, pt{x - 60, -118}), rgb{1, 1, 1}, 0.14)
	}
	p.block(rounded(-262, -132, 52, 34, 14), bodywork(s.paint()), 4, 10) // the mirror
}

// receipt is the paper that the customer takes home: lines of text, a seal and its square code.
func (p pen) receipt(s Shot) {
	q := p.move(330, 800).turn(-4).unmirrored(560)
	sheet := box(0, 0, 560, 370)
	q.shadow(sheet, 10, 14, 20, 0.5)
	q.relief(sheet, cardStock(), 2)
	q.write(q.faces.print, 30, 62, 46, "RECEIPT", ink())
	q.write(q.faces.mono, 30, 118, 42, s.Plate, ink())
	q.write(q.faces.mono, 30, 162, 28, s.Taken.Format("2006-01-02"), ink())
	for i := range 4 {
		q.fill(box(30, 190+float64(i)*26, 240+q.rand.Float64()*60, 8), ink(), 0.55)
	}
	const cell = 9.0
	var code shape
	for y := range 21 {
		for x := range 21 {
			if finder(x, y) || finder(20-x, y) || finder(x, 20-y) || (!corner(x, y) && q.rand.IntN(2) == 0) {
				code = append(code, box(340+float64(x)*cell, 40+float64(y)*cell, cell+0.3, cell+0.3)...)
			}
		}
	}
	q.fill(code, ink(), 1)
	stamp := q.move(440, 296).turn(-10)
	stamp.fill(rounded(-100, -36, 200, 72, 12).less(rounded(-93, -29, 186, 58, 8)), hex(0x8c2f14), 0.85)
	stamp.centred(q.faces.print, 0, 16, 44, "SEALED", hex(0x8c2f14))
}

// finder and corner give the three squares in the corners of a square code, 21 cells wide.
func finder(x, y int) bool {
	if x > 6 || y > 6 || x < 0 || y < 0 {
		return false
	}
	d := max(max(x, 6-x), max(y, 6-y)) - 3
	return d != 2
}

func corner(x, y int) bool { return x < 8 && y < 8 || x > 12 && y < 8 || x < 8 && y > 12 }

// keys are a car key and a house key on a ring.
func (p pen) keys() {
	for i, a := range []float64{20, 62} {
		k := p.turn(a)
		blade := box(70, -15, 230, 30).and(solid(pt{300, -15}, pt{322, 0}, pt{300, 15}))
		var cuts shape
		for j := range 5 {
			x := 130 + float64(j)*34
			cuts = append(cuts, solid(pt{x, 16}, pt{x + 12, 5}, pt{x + 24, 16})...)
		}
		k.shadow(blade, 6, 9, 10, 0.6)
		k.relief(blade.less(cuts), []material{steel(), copper().darker(0.9)}[i], 5)
		if i == 0 {
			k.block(rounded(-10, -62, 170, 124, 40), plastic(hex(0x1f2124)), 12, 22)
			k.relief(circle(60, 0, 18), plastic(hex(0x50555b)), 6)
			k.relief(circle(112, 0, 18), plastic(hex(0x50555b)), 6)
		} else {
			k.block(circle(46, 0, 54), copper().darker(0.9), 6, 6)
		}
	}
	p.shadow(ring(-30, -10, 62, 52), 5, 8, 8, 0.5)
	p.relief(ring(-30, -10, 62, 52), chrome(), 5)
}
