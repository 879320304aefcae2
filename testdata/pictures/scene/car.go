package scene

import "math"

// polar is a point at a distance and an angle, in degrees clockwise from three o'clock.
func polar(r, degrees float64) pt {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return pt{r * cos, r * sin}
}

func bodywork(c rgb) material {
	return material{base: c, shine: 0.5, gloss: 6, rough: 0.015, metal: 0.22}
}

// wheelWell is a corner of the car with the wheel off, the disc to come at (x, y) with radius r.
func (p pen) wheelWell(paint rgb, x, y, r float64) {
	liner := material{base: hex(0x3c3e42), spot: hex(0x5d544b), spots: 0.35, rough: 0.5}
	p.paint(func(px, py int) rgb { return p.lit(&liner, 0, 0, px, py) })
	for _, k := range []float64{1.34, 1.18} {
		p.relief(ring(x, y, r*k+14, r*k), liner, 8)
	}
	p.soft(ring(x, y, r*1.75, r*1.36), rgb{}, 0.75, r*0.24)
	p.floor(y + r*1.26)
	p.soft(oval(x, y+r*1.34, r*1.5, r*0.14), rgb{}, 0.6, 60)

	arm := material{base: hex(0x3c3a38), spot: hex(0x6a4a34), spots: 0.4, shine: 0.1, gloss: 3, rough: 0.5}
	p.block(line(74, pt{x - 60, y + r*0.5}, pt{x + r*1.9, y + r*0.92}), arm, 10, 30)
	p.block(line(120, pt{x + 30, y - r*1.75}, pt{x + 10, y - r*0.5}), arm, 0, 58)
	for i := range 5 { // the spring
		top := y - r*1.7 + float64(i)*r*0.17
		p.shadow(line(34, pt{x - 110, top + 20}, pt{x + 160, top - 16}), 0, 14, 12, 0.7)
		p.relief(line(34, pt{x - 110, top + 20}, pt{x + 160, top - 16}), plastic(hex(0x4a4e54)), 16)
	}

	body := box(x-2400, y-2400, 4800, 2400+r*1.10)
	arch := func(k float64) shape { // open at the lower edge of the body
		edge := math.Asin(1.10/k) * 180 / math.Pi
		return solid(arc(x, y, r*k, 180-edge, 360+edge, 90)...)
	}
	p.fill(body.less(arch(1.45)), paint.times(0.25), 1)
	p.relief(body.less(arch(1.49)), bodywork(paint), 44)
}

// disc is the brake disc with hub and studs about the origin.
func (p pen) disc(r float64, clean bool) {
	face, hat := steel(), bareIron()
	if !clean {
		face = material{base: hex(0x8f8378), spot: hex(0x9a6a44), spots: 0.45, shine: 0.3, gloss: 4, rough: 0.3, metal: 0.4}
		hat = rusty()
	}
	p.block(circle(0, 0, r), hat, r*0.05, 8)
	p.spun(circle(0, 0, r*0.985), 0, 0, face)
	p.relief(ring(0, 0, r, r*0.975), hat, 5)
	p.fill(ring(0, 0, r*0.60, r*0.575), rgb{}, 0.45)
	p.block(circle(0, 0, r*0.54), hat, r*0.04, 18)
	p.relief(circle(0, 0, r*0.48), hat, 10)
	p.block(circle(0, 0, r*0.17), hat, 10, 9)
	p.sink(circle(0, 0, r*0.11), hat.darker(0.5), 10)
	for i := range 5 {
		q := polar(r*0.31, float64(i)*72-90)
		p.sink(circle(q.x, q.y, r*0.062), hat.darker(0.5), 5)
		p.move(q.x, q.y).block(circle(0, 0, r*0.042), zinc(), r*0.10, 6)
		p.move(q.x, q.y).relief(ring(0, 0, r*0.042, r*0.026), zinc(), 3)
	}
}

// mounted is the caliper in its bracket on the disc about the origin, at three o'clock, bleeder up.
func (p pen) mounted(r float64, m material, bolts material, mark string) {
	at := func(k, deg float64) pt { return polar(r*k, deg) }
	// Hose and its banjo come from behind.
	hose := line(r*0.075, curve(at(1.2, 12), at(1.46, 8), at(1.62, -12), at(1.50, -40))...)
	p.shadow(hose, 14, 18, 16, 0.6)
	p.relief(hose, rubber(), r*0.035)
	end := at(1.36, 10)
	p.relief(line(r*0.10, at(1.22, 12), end), zinc(), r*0.05)

	p.block(sector(0, 0, r*1.10, r*0.76, -52, 52), m, r*0.06, r*0.04)
	for _, side := range []float64{-1, 1} {
		q := at(0.95, side*47)
		p.move(q.x, q.y).block(circle(0, 0, r*0.13), m, r*0.05, r*0.03)
		p.move(q.x, q.y).hexBolt(r*0.065, bolts, 15*side)
		boot := at(1.13, side*39)
		for i := range 3 {
			q := at(1.13+float64(i)*0.001, side*(36+float64(i)*3))
			p.move(q.x, q.y).turn(side*38).relief(rounded(-r*0.07, -r*0.022, r*0.14, r*0.044, r*0.02), rubber(), r*0.02)
		}
		p.move(boot.x, boot.y).shadow(circle(0, 0, r*0.03), 4, 6, 8, 0.3)
	}
	p.relief(sector(0, 0, r*0.97, r*0.62, -31, 31), material{base: hex(0x4b4640), spot: hex(0x6b5542), spots: 0.3, rough: 0.6}, 6)

	// The bleeder stands up from the top of the body.
	top := at(1.20, -27)
	b := p.move(top.x, top.y)
	b.relief(box(-r*0.035, -r*0.20, r*0.07, r*0.2), zinc(), r*0.03)
	b.relief(box(-r*0.055, -r*0.13, r*0.11, r*0.06), zinc(), r*0.015)

	body := blob(at(1.16, -37), at(1.27, -24), at(1.32, 0), at(1.27, 24), at(1.16, 37), at(0.92, 39), at(0.70, 36),
		at(0.60, 26), at(0.61, 12), at(0.74, 7), at(0.74, -7), at(0.61, -12), at(0.60, -26), at(0.70, -36), at(0.92, -39))
	p.block(body, m, r*0.10, r*0.07)
	p.relief(sector(0, 0, r*1.20, r*1.14, -26, 26), m, r*0.03)
	for _, a := range []float64{-19, 19} {
		p.relief(line(r*0.05, at(0.68, a), at(0.90, a)), m, r*0.022)
	}
	p.sink(sector(0, 0, r*0.92, r*0.80, -6.5, 6.5), m.darker(0.3), r*0.03)
	q := at(1.01, 0)
	p.move(q.x, q.y).turn(-90).emboss(0, r*0.035, r*0.115, mark, m)
}

// bleederTop is where the tube goes on mounted's bleeder.
func bleederTop(r float64) pt {
	q := polar(r*1.20, -27)
	return pt{q.x, q.y - r*0.21}
}

// wheel is a wheel with tyre about the origin; brake and caliper show between its spokes.
func (p pen) wheel(r float64, caliper material) {
	p.block(circle(0, 0, r), rubber(), 0, r*0.10)
	for _, k := range []float64{0.965, 0.90, 0.845} {
		p.relief(ring(0, 0, r*k, r*(k-0.022)), rubber().darker(0.75), r*0.009)
	}
	p.sink(circle(0, 0, r*0.79), rubber().darker(0.5), r*0.06)
	p.disc(r*0.60, true)
	p.mounted(r*0.53, caliper, zinc(), "")
	alloy := material{base: hex(0xb9bdc2), spot: hex(0xaeb2b7), spots: 0.3, shine: 0.5, gloss: 4, rough: 0.06, metal: 0.45}
	var spokes shape
	for i := range 5 {
		a := float64(i)*72 - 90
		for _, fork := range []float64{-9, 9} {
			spokes = spokes.and(line(r*0.075, polar(r*0.16, a+fork*2), polar(r*0.76, a+fork)))
		}
		q := polar(r*0.19, a+36)
		spokes = spokes.and(circle(q.x, q.y, r*0.10))
	}
	p.block(spokes.and(circle(0, 0, r*0.25)), alloy, r*0.035, r*0.03)
	p.block(ring(0, 0, r*0.80, r*0.735), alloy, r*0.012, r*0.025)
	p.block(circle(0, 0, r*0.10), alloy, r*0.01, r*0.022)
}
