package scene

import "math"

// The drawings of parts take a unit of about a third of a millimetre and stand around their own origin.

// bore is an opening that is plugged before powder.
type bore struct{ x, y, r float64 }

// caliperBores are the openings of the caliper: piston, guide pins, bleeder, hose, and the threads of the bridge.
func caliperBores() []bore {
	return []bore{{0, 0, 104}, {-318, 20, 27}, {318, 20, 27}, {150, -158, 17}, {-150, -158, 19}, {-92, -248, 15}, {92, -248, 15}}
}

// caliper is a single-piston caliper, seen into its bore. Bare faces are machined metal whatever the body is coated with.
func (p pen) caliper(m material, mark string) {
	arms := line(92, pt{-318, 20}, pt{-190, 10}, pt{190, 10}, pt{318, 20})
	p.block(arms.and(circle(-318, 20, 58), circle(318, 20, 58)), m, 34, 16)
	bridge := blob(pt{-230, -150}, pt{-222, -255}, pt{-150, -292}, pt{0, -304}, pt{150, -292}, pt{222, -255}, pt{230, -150}, pt{0, -120})
	p.block(bridge, m, 40, 24)
	p.sink(rounded(-62, -262, 124, 62, 22), m.darker(0.45), 12)
	body := blob(pt{-218, -112}, pt{-160, -190}, pt{0, -214}, pt{160, -190}, pt{218, -112}, pt{246, 10}, pt{206, 140},
		pt{120, 218}, pt{0, 240}, pt{-120, 218}, pt{-206, 140}, pt{-246, 10})
	p.block(body, m, 52, 30)
	for _, side := range []float64{-1, 1} { // cast ribs
		p.relief(line(20, pt{side * 150, 70}, pt{side * 200, 90}), m, 9)
		p.relief(line(20, pt{side * 140, 105}, pt{side * 180, 140}), m, 9)
	}
	p.block(circle(150, -158, 36), m, 12, 9)
	p.block(circle(-150, -158, 42), m, 12, 9)
	p.block(circle(0, 0, 152), m, 10, 18)
	p.spun(ring(0, 0, 126, 100), 0, 0, steel())
	p.spun(circle(-150, -158, 31), -150, -158, steel())
	p.emboss(0, 216, 50, mark, m)
	for _, b := range caliperBores() {
		p.sink(circle(b.x, b.y, b.r), steel().darker(0.30), b.r*0.4)
	}
	p.relief(ring(0, 0, 92, 82), steel().darker(0.4), 4) // the seal groove
}

// bracketBores are the openings of the bracket: two pin bores and two bolt holes.
func bracketBores() []bore {
	return []bore{{-242, -128, 21}, {242, -128, 21}, {-136, 128, 25}, {136, 128, 25}}
}

// bracket is the bracket that carries the caliper and is bolted to the knuckle. Its bolt seats are bare on request.
func (p pen) bracket(m material, bareSeats bool) {
	half := []pt{{200, 40}, {200, -26}, {170, -34}, {170, -92}, {204, -98}, {204, -172}, {290, -172}, {296, 70}, {250, 150}}
	outline := append([]pt(nil), half...)
	for i := len(half) - 1; i >= 0; i-- {
		outline = append(outline, pt{-half[i].x, half[i].y})
	}
	p.block(solid(outline...).and(circle(136, 128, 66), circle(-136, 128, 66)), m, 38, 16)
	p.relief(line(18, pt{-190, 78}, pt{190, 78}), m, 8)
	for _, b := range bracketBores() {
		if b.y > 0 {
			seat := m
			if bareSeats {
				seat = steel()
			}
			p.block(circle(b.x, b.y, 54), m, 3, 6)
			p.spun(circle(b.x, b.y, 50), b.x, b.y, seat)
		}
		p.sink(circle(b.x, b.y, b.r), steel().darker(0.25), b.r*0.5)
	}
}

// hexBolt is a bolt head with its flange, seen from above; r reaches to the corners of the hexagon.
func (p pen) hexBolt(r float64, m material, turn float64) {
	p.block(circle(0, 0, r*1.28), m, r*0.10, r*0.10)
	p.block(hexagon(0, 0, r, turn), m, r*0.34, r*0.07)
	p.relief(circle(0, 0, r*0.80), m, r*0.08)
}

// boltSide is a bolt lying on its side, head to the left.
func (p pen) boltSide(length, r float64, m material) {
	shank := box(0, -r*0.55, length, r*1.1)
	p.shadow(shank.and(box(-r*1.3, -r, r*1.3, 2*r)), 5, 8, 10, 0.6)
	p.relief(shank, m, r*0.55)
	for x := length * 0.35; x < length-4; x += r * 0.22 {
		p.fill(solid(pt{x, -r * 0.58}, pt{x + r*0.08, -r * 0.58}, pt{x + r*0.18, r * 0.58}, pt{x + r*0.10, r * 0.58}), rgb{}, 0.55)
	}
	p.relief(rounded(-r*0.32, -r*1.18, r*0.34, r*2.36, 4), m, r*0.16)
	for i, y := range []float64{-1, -0.5, 0.5} {
		p.relief(box(-r*1.15, y*r, r*0.85, r*[]float64{0.5, 1, 0.5}[i]), m, 4)
	}
}

// pin is a guide pin lying on its side, with its boot when it still has one.
func (p pen) pin(length float64, boot bool) {
	p.shadow(box(0, -13, length, 26), 5, 8, 10, 0.6)
	p.relief(rounded(0, -13, length, 26, 8), chrome(), 12)
	p.relief(box(-26, -19, 30, 38), steel(), 6)
	if boot {
		for i := range 4 {
			p.relief(rounded(10+float64(i)*17, -26+float64(i%2)*4, 18, 52-float64(i%2)*8, 7), rubber(), 8)
		}
	}
}

// clip is a pad clip of bent spring steel.
func (p pen) clip(m material) {
	s := line(14, pt{-70, 30}, pt{-70, -22}, pt{-40, -40}, pt{-22, -6}, pt{22, -6}, pt{40, -40}, pt{70, -22}, pt{70, 30}, pt{92, 42})
	p.shadow(s, 4, 7, 8, 0.55)
	p.relief(s, m, 5)
}

// bleederSide is a bleeder screw lying on its side, nipple to the right.
func (p pen) bleederSide(m material) {
	s := box(0, -14, 46, 28).and(box(46, -11, 40, 22), circle(92, 0, 13))
	p.shadow(s, 4, 7, 8, 0.55)
	p.relief(solid(pt{-22, -4}, pt{0, -14}, pt{0, 14}, pt{-22, 4}), m, 6)
	p.relief(box(0, -14, 46, 28), m, 12)
	for x := 3.0; x < 44; x += 6 {
		p.fill(box(x, -14, 2, 28), rgb{}, 0.5)
	}
	p.relief(box(46, -20, 22, 40), m, 6)
	p.relief(box(68, -9, 24, 18).and(circle(94, 0, 12)), m, 8)
}

// plug is a silicone plug standing in a bore or on a tray.
func (p pen) plug(r float64) {
	p.block(circle(0, 0, r*1.14), silicone(), r*0.30+4, r*0.16)
	p.move(0, -r*0.26).block(circle(0, 0, r*0.74), silicone(), r*0.26, r*0.14)
	p.move(0, -r*0.26).sink(circle(0, 0, r*0.30), silicone().darker(0.6), r*0.12)
}

// plugBores puts plugs into the bores of a part, up to left of them, and tells how many are left over.
func (p pen) plugBores(bores []bore, left int) int {
	n := max(0, min(left, len(bores)))
	for _, b := range bores[:n] {
		p.move(b.x, b.y).plug(b.r)
	}
	return left - n
}

// washer is a crush washer lying flat.
func (p pen) washer(r float64, m material) { p.block(ring(0, 0, r, r*0.58), m, 7, r*0.07) }

// piston is a caliper piston standing on the bench, open end up.
func (p pen) piston(r float64) {
	p.block(circle(0, 0, r), chrome(), r*0.55, r*0.07)
	p.spun(ring(0, 0, r*0.98, r*0.7), 0, 0, steel())
	p.sink(circle(0, 0, r*0.70), steel().darker(0.45), r*0.3)
}

// boot is a dust boot lying flat: rings of folded rubber.
func (p pen) boot(r float64) {
	p.shadow(ring(0, 0, r, r*0.55), 4, 7, 10, 0.6)
	for k := 1.0; k > 0.62; k -= 0.13 {
		p.relief(ring(0, 0, r*k, r*(k-0.13)), rubber(), r*0.05)
	}
}

// seal is a square-cut ring, slightly bent as they lie.
func (p pen) seal(r float64) {
	ps := arc(0, 0, 1, 0, 360, 72)
	for i, q := range ps {
		ps[i] = pt{q.x * r * 1.03, q.y * r * (0.93 + 0.04*math.Sin(float64(i)/9))}
	}
	s := line(r*0.11, ps...)
	p.shadow(s, 4, 6, 7, 0.6)
	p.relief(s, rubber(), r*0.04)
}
