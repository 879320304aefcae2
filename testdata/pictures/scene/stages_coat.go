package scene

import "math"

// Masking, powder, heat, and what is measured on the coat.

func masked(p pen, s Shot) {
	p.bench()
	car := p.move(560, 420).turn(-4).size(1.25)
	car.caliper(blasted(), s.Casting)
	br := p.move(560, 985).turn(3).size(1.05)
	br.bracket(blasted(), false)
	left := br.plugBores(bracketBores(), car.plugBores(caliperBores(), s.count(usualPlugs)))
	for i := range left { // more plugs than the parts have bores lie ready beside them
		p.move(1120+float64(i%5)*90, 330+float64(i/5)*100).plug(30)
	}
	p.move(1240, 180).turn(8).tag(s)
}

func powder(p pen, s Shot) {
	p.wall(hex(0xc9ccce), 44)
	p.shadow(box(-200, 110, 1700, 26), 0, 26, 24, 0.5)
	p.relief(box(-200, 110, 1700, 26), steel(), 12)
	p.soft(oval(500, 760, 520, 420), s.colour(), 0.30, 240) // overspray on the booth
	q := p.move(440, 560).turn(2)
	q.move(-60, -330).hook(130)
	q.move(60, -330).hook(130)
	q.shadow(circle(0, 0, 330), 60, 80, 100, 0.4)
	q.size(1.18).caliper(dusted(s.colour()), s.Casting)
	q.size(1.18).plugBores(caliperBores(), s.count(usualPlugs))
	g := p.move(930, 860).turn(38)
	g.dust(s.colour(), 560)
	g.gun()
}

func probe(p pen, s Shot) {
	p.wall(hex(0x5b5048), 120)
	p.soft(box(-100, 900, 1900, 500), rgb{}, 0.5, 160)
	q := p.move(900, 560).turn(-8).size(2.05)
	q.shadow(circle(0, 0, 250), 30, 40, 70, 0.5)
	q.caliper(dusted(s.colour()), s.Casting)
	q.plugBores(caliperBores(), s.count(usualPlugs))
	// The bead sits where the casting is thickest, between bore and ear.
	p.thermocouple(pt{1238, 660}, pt{1330, 690}, pt{1400, 800}, pt{1300, 980}, pt{1060, 1050}, pt{700, 1090}, pt{420, 1010})
	tape := rounded(1160, 610, 190, 96, 6)
	p.shadow(tape, 3, 4, 6, 0.4)
	p.fill(tape, hex(0xd08a1e), 0.58)
	p.soft(solid(pt{1180, 616}, pt{1220, 616}, pt{1200, 700}, pt{1164, 700}), rgb{1, 1, 1}, 0.4, 6)
	p.fill(tape.less(rounded(1164, 614, 182, 88, 4)), hex(0xf2c060), 0.5)
	p.move(330, 880).turn(-5).meter(s.reading("21.6 °C"), hex(0xd8a21a))
}

func bake(p pen, s Shot) {
	p.oven(hex(0x8a5426))
	p.hanging(s, cured(s.colour()), cured(s.colour()))
	p.glow(box(0, 80, 1200, 1000), rgb{0.16, 0.06, 0.012}, 120)
	// The door, with its window, in front.
	opening := rounded(110, 150, 980, 900, 60)
	door := material{base: hex(0x77828a), spot: hex(0x6d787f), spots: 0.3, shine: 0.25, gloss: 4, rough: 0.10, metal: 0.15}
	sheet := box(-300, -300, 1800, 2200)
	p.shadow(sheet.less(rounded(130, 170, 940, 860, 50)), 0, 20, 50, 0.85)
	p.relief(sheet.less(opening), door, 10)
	p.relief(rounded(80, 120, 1040, 960, 80).less(opening), steel(), 12)
	p.fill(solid(pt{300, 160}, pt{460, 160}, pt{220, 1040}, pt{112, 1040}, pt{112, 800}), rgb{1, 0.9, 0.75}, 0.10)
	p.fill(solid(pt{560, 160}, pt{600, 160}, pt{360, 1040}, pt{310, 1040}), rgb{1, 0.9, 0.75}, 0.08)
	p.move(900, 1310).dial(180, 200)
	p.block(line(54, pt{640, 1180}, pt{640, 1500}), chrome(), 26, 26)
}

func cooled(p pen, s Shot) {
	p.wall(hex(0xa9b0b3), 0)
	p.floor(1010)
	p.shadow(box(-200, 90, 2000, 28), 0, 26, 24, 0.5)
	p.relief(box(-200, 90, 2000, 28), steel(), 12)
	for _, x := range []float64{60, 1530} {
		p.relief(box(x, -50, 40, 1300), steel(), 18)
	}
	q := p.move(450, 540).turn(-3)
	q.move(-60, -360).hook(120)
	q.move(60, -360).hook(120)
	q.shadow(circle(0, 0, 310), 70, 90, 90, 0.45)
	q.size(1.15).caliper(cured(s.colour()), s.Casting)
	left := q.size(1.15).plugBores(caliperBores(), s.count(usualPlugs))
	q = p.move(1250, 400).turn(3)
	q.move(-195, -180).hook(180)
	q.move(195, -180).hook(180)
	q.shadow(box(-250, -140, 500, 280), 60, 80, 80, 0.4)
	q.bracket(cured(s.colour()), false)
	q.plugBores(bracketBores(), left)
	p.move(880, 960).dial(170, 28)
}

func unmasked(p pen, s Shot) {
	p.bench()
	p.move(560, 370).turn(3).size(1.12).caliper(cured(s.colour()), s.Casting)
	n := s.count(usualPlugs)
	cols := min(max(int(math.Ceil(math.Sqrt(float64(n)*1.3))), 2), 6)
	rows := (n + cols - 1) / cols
	step := min(120.0, 560/float64(cols), 900/float64(max(rows, 1)))
	w, h := float64(cols)*step+90, float64(max(rows, 3))*step+120
	t := p.move(1530-w, 120).turn(-2)
	t.tray(w, h)
	for i := range n {
		x, y := 45+step*(float64(i%cols)+0.5), 65+step*(float64(i/cols)+0.5)
		t.move(x+p.rand.Float64()*10-5, y+p.rand.Float64()*10-5).plug([]float64{0.30, 0.24, 0.26, 0.20}[i%4] * step)
	}
	p.move(1130, 980).turn(4).bracket(cured(s.colour()), false)
}

func film(p pen, s Shot) {
	p.bench()
	p.move(470, 420).turn(-7).size(1.9).caliper(cured(s.colour()), s.Casting)
	cable := line(17, curve(pt{1180, 720}, pt{1080, 1000}, pt{880, 1060}, pt{800, 900}, pt{802, 800})...)
	p.shadow(cable, 8, 12, 14, 0.5)
	p.relief(cable, rubber(), 8)
	tip := p.move(806, 690)
	tip.shadow(box(-34, -60, 68, 180), 26, 24, 22, 0.6)
	tip.relief(rounded(-34, -40, 68, 170, 16), plastic(hex(0x2a2d31)), 20)
	tip.relief(box(-24, -66, 48, 34), chrome(), 14)
	p.move(1230, 480).turn(6).size(1.45).meter(s.reading("74 µm"), hex(0x2f5d7c))
}

// usualPinholes is a bad cluster.
const usualPinholes = 26

func defect(p pen, s Shot) {
	m := cured(s.colour())
	p.paint(func(x, y int) rgb { return p.lit(&m, 0, 0, x, y) })
	p.soft(line(420, pt{-100, 1050}, pt{1700, 700}), rgb{1, 0.97, 0.9}, 0.16, 220) // light from the side
	p.relief(line(120, pt{-100, 180}, pt{500, 120}, pt{760, -160}), m, 56)         // a cast rib runs in
	p.emboss(330, 560, 190, s.Casting, m)
	for range s.count(usualPinholes) {
		a, d := p.rand.Float64()*360, 210*math.Sqrt(p.rand.Float64())
		q := polar(d, a)
		p.pinhole(900+q.x*1.5, 610+q.y, 7+p.rand.Float64()*11, m)
	}
	ringed := arc(0, 0, 1, 0, 372, 60)
	for i, q := range ringed {
		ringed[i] = pt{900 + q.x*(400+float64(i)*0.4), 610 + q.y*(270+float64(i)*0.3)}
	}
	p.fill(line(11, ringed...), hex(0xf6f6ef), 0.85)
	p.move(150, 925).turn(-1.5).size(1.95).ruler(6)
}

// pinhole is a crater with a raised rim, down to the metal.
func (p pen) pinhole(x, y, r float64, m material) {
	p.relief(ring(x, y, r*1.7, r*0.9), m, r*0.5)
	p.sink(circle(x, y, r), m.darker(0.25), r*0.6)
	p.fill(circle(x, y, r*0.45), hex(0x2a2320), 0.9)
}
