package scene

// Back onto the car, filled, bled, and handed over.

func seats(p pen, s Shot) {
	p.bench()
	q := p.move(800, 600).turn(3).size(2.15)
	q.bracket(cured(s.colour()), true)
	for _, b := range bracketBores() {
		if b.y > 0 { // ringed with a grease pencil
			ps := arc(b.x, b.y, 74, -20, 350, 50)
			for i := range ps {
				ps[i].y += float64(i) * 0.12
			}
			q.fill(line(7, ps...), hex(0xfafaf2), 0.95)
		}
	}
}

func refitted(p pen, s Shot) {
	p.onCar(s, cured(s.colour()), zinc(), true)
}

func emptied(p pen, s Shot) {
	p.bench()
	q := p.move(110, 90).turn(2)
	q.tray(1040, 800)
	q.move(330, 190).turn(-5).size(1.3).bag(s, 460, 290)
}

func washers(p pen, s Shot) {
	p.paper()
	p.move(1130, 110).turn(5).bagged(s, 420, 270)
	q := p.move(250, 230).turn(-4)
	q.boltSide(470, 84, zinc())
	q.fill(oval(250, 0, 24, 20), rgb{}, 0.85) // the cross bore of the banjo bolt
	n := s.count(usualWashers)
	columns, k := 2, 1.0 // pairs in a row, and their size
	switch {
	case n > 12:
		columns, k = 5, 0.4
	case n > 4:
		columns, k = 3, 0.65
	}
	for i := range n {
		pair, second := i/2, float64(i%2)
		x := 290 + k*(float64(pair%columns)*560+second*240)
		y := 570 + k*float64(pair/columns)*270
		p.move(x+k*p.rand.Float64()*12, y+k*p.rand.Float64()*12).size(k).washer(108, copper())
	}
}

func torque(p pen, s Shot) {
	p.wall(hex(0x2c2e31), 0)
	knuckle := material{base: hex(0x8f9294), spot: hex(0x7f8183), spots: 0.4, shine: 0.15, gloss: 3, rough: 0.7, metal: 0.15}
	p.block(blob(pt{-100, 300}, pt{500, 120}, pt{1200, 160}, pt{1750, 60},
		pt{1750, 560}, pt{1200, 640}, pt{400, 700}, pt{-100, 800}), knuckle, 60, 60)
	m := cured(s.colour())
	p.block(line(300, pt{420, 700}, pt{1250, 560}).and(circle(760, 640, 260), circle(1360, 540, 190)), m, 70, 50)
	p.spun(circle(760, 620, 232), 760, 620, steel())
	p.move(760, 620).hexBolt(165, zinc(), 12)
	p.move(1370, 520).size(0.62).hexBolt(165, zinc(), 41)
	mark := hex(0xf7e21c)
	p.move(760, 620).turn(-9).stroke(mark, 30, -190, 370)
	p.move(1370, 520).turn(-80).stroke(mark, 21, -120, 175)
	// The wrench lies in front.
	w := p.move(120, 1060).turn(-3)
	w.block(line(66, pt{0, 0}, pt{900, 0}), chrome(), 16, 30)
	w.block(circle(-10, 0, 82), chrome(), 20, 30)
	w.relief(hexagon(-10, 0, 36, 0), steel().darker(0.5), 8)
	w.block(rounded(820, -50, 560, 100, 40), plastic(hex(0x2a2d31)), 14, 40)
	for i := range 22 {
		w.fill(box(860+float64(i)*22, -48, 8, 96), rgb{}, 0.35)
	}
	w.fill(rounded(560, -22, 220, 44, 8), hex(0xf3f1e8), 1)
	w.centred(w.faces.mono, 670, 16, 44, "120 N·m", ink())
}

// stroke is a line drawn with a paint pen along the x axis, not quite straight.
func (p pen) stroke(c rgb, width, from, to float64) {
	var ps []pt
	for x := from; x <= to; x += 40 {
		ps = append(ps, pt{x, (p.rand.Float64() - 0.5) * width * 0.2})
	}
	p.shadow(line(width, curve(ps...)...), 2, 2, 3, 0.3)
	p.fill(line(width, curve(ps...)...), c, 0.95)
}

func bleed(p pen, s Shot) {
	const x, y, r = 200, 640, 470
	p.wheelWell(s.paint(), x, y, r)
	p.move(x, y).disc(r, true)
	p.move(x, y).mounted(r, cured(s.colour()), zinc(), s.Casting)
	b := bleederTop(r)
	end := pt{860, 1230}
	tube := curve(pt{x + b.x, y + b.y + 16}, pt{x + b.x + 20, y + b.y - 100}, pt{x + b.x + 160, y + b.y - 110},
		pt{970, 640}, pt{920, 880}, pt{862, 1060}, end)
	p.move(860, 1225).size(1.1).bottle(170)
	p.shadow(line(30, tube...), 12, 16, 16, 0.5)
	p.fill(line(30, tube...), hex(0xe6ecec), 0.55)
	p.fill(line(17, tube...), hex(0xb98434), 0.9)
	for i := 8; i < len(tube)-6; i += 7 { // air on its way out
		p.fill(circle(tube[i].x, tube[i].y, 8), hex(0xf7efd9), 0.95)
	}
	p.fill(line(5, shifted(tube, -8, -6)...), rgb{1, 1, 1}, 0.6)
	p.move(x+b.x, y+b.y+50).turn(-8).block(rounded(-40, -22, 330, 44, 20), chrome(), 8, 16) // the spanner on its hexagon
}

func shifted(ps []pt, dx, dy float64) []pt {
	out := make([]pt, len(ps))
	for i, p := range ps {
		out[i] = pt{p.x + dx, p.y + dy}
	}
	return out
}

func reservoir(p pen, s Shot) {
	p.wall(hex(0x2a2c2f), 0)
	p.relief(line(170, pt{-100, 1000}, pt{900, 1120}, pt{1750, 980}), plastic(hex(0x3a3d41)), 80)
	p.relief(line(60, curve(pt{1300, -50}, pt{1420, 300}, pt{1500, 700}, pt{1700, 900})...), rubber(), 28)
	p.relief(line(46, curve(pt{100, 1250}, pt{260, 700}, pt{120, 420}, pt{-80, 380})...), rubber(), 22)
	p.relief(box(-200, -200, 2000, 250), bodywork(s.paint()), 40)

	tank := rounded(430, 330, 780, 620, 90)
	p.shadow(tank, 30, 40, 60, 0.7)
	p.relief(tank, material{base: hex(0xe9e4d2), shine: 0.3, gloss: 4, rough: 0.05}, 60)
	const minY, maxY = 810, 520
	level := maxY + (minY-maxY)*(1-min(max(s.Level, -0.3), 1.3))
	inside := box(448, level, 744, 920-level)
	if level < 900 {
		p.fill(inside.and(rounded(448, 840, 744, 92, 60)), hex(0xc98f2c), 0.72)
		p.fill(box(448, level, 744, 9), hex(0xf6dc9a), 0.9)
		p.soft(box(448, level+9, 744, 40), hex(0x7a4e10), 0.35, 20)
	}
	for _, l := range []struct {
		y    float64
		text string
	}{{maxY, "MAX"}, {minY, "MIN"}} {
		p.relief(box(560, l.y-7, 280, 14), plastic(hex(0x23262a)), 5)
		p.write(p.faces.print, 870, l.y+30, 88, l.text, hex(0x1c1e22))
	}
	p.soft(line(44, pt{500, 420}, pt{500, 860}), rgb{1, 1, 1}, 0.5, 22)
	p.block(rounded(600, 250, 440, 110, 20), plastic(hex(0x1f2124)), 10, 20)
	p.block(rounded(640, 150, 360, 130, 30), plastic(hex(0x1f2124)), 10, 26)
	for i := range 11 {
		p.relief(rounded(652+float64(i)*32, 160, 16, 104, 8), plastic(hex(0x2a2c30)), 7)
	}
	p.centred(p.faces.print, 820, 336, 52, "DOT 4", hex(0xf2d23a))
}

func wheelOn(p pen, s Shot) {
	const x, y, r = 860, 600, 530
	p.wheelWell(s.paint(), x, y, 425)
	w := p.move(x, y)
	w.wheel(r, cured(s.colour()))
	for i := range 5 {
		a := float64(i)*72 - 54
		q := polar(r*0.19, a)
		n := w.move(q.x, q.y)
		n.sink(circle(0, 0, 36), steel().darker(0.4), 8)
		n.hexBolt(24, chrome(), float64(i)*23)
		n.turn(a-90).fill(box(-6, 0, 12, 54), hex(0xf7e21c), 0.97)
	}
}

func handover(p pen, s Shot) {
	p.wall(hex(0xb9b6ab), 0)
	for i := range 7 { // the roller door
		p.relief(box(-200, float64(i)*74-60, 2000, 70), material{base: hex(0xa7adb0), rough: 0.1, shine: 0.1, gloss: 3}, 12)
	}
	p.floor(430)
	p.move(700, 520).car(s)
	counter := material{base: hex(0xa8774a), spot: hex(0x8f6038), spots: 0.5, shine: 0.15, gloss: 3, rough: 0.25}
	p.block(box(-300, 760, 2300, 700), counter, 0, 10)
	p.fill(box(-300, 760, 2300, 10), hex(0xd9ab78), 0.8)
	p.receipt(s)
	p.move(1130, 930).turn(-14).keys()
}
