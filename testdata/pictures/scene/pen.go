package scene

import "math"

// pen draws on a canvas at a place, turn and size. Moving a pen gives a new pen.
type pen struct {
	*canvas
	m affine
}

func (p pen) move(x, y float64) pen {
	p.m = p.m.then(affine{1, 0, 0, 1, x, y})
	return p
}

func (p pen) turn(degrees float64) pen {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	p.m = p.m.then(affine{cos, sin, -sin, cos, 0, 0})
	return p
}

func (p pen) size(k float64) pen { return p.stretch(k, k) }

// stretch scales the two directions apart; a negative one mirrors.
func (p pen) stretch(x, y float64) pen {
	p.m = p.m.then(affine{x, 0, 0, y, 0, 0})
	return p
}

// unmirrored is the pen for things of width w that must not be seen in a mirror, such as dials and rulers.
func (p pen) unmirrored(w float64) pen {
	if p.m.a*p.m.d-p.m.b*p.m.c < 0 {
		return p.move(w, 0).stretch(-1, 1)
	}
	return p
}

// fill lays a flat colour; strength below 1 lets the ground through.
func (p pen) fill(s shape, c rgb, strength float32) {
	p.each(p.cut(s, p.m), func(i, _, _ int, a float32) { p.pix[i] = p.pix[i].mix(c, a*strength) })
}

// soft is fill with an edge that fades over blur units.
func (p pen) soft(s shape, c rgb, strength float32, blur float64) {
	r := blur * p.m.scale()
	p.each(p.blurred(p.cut(s, p.m).grown(int(r)+2), r), func(i, _, _ int, a float32) { p.pix[i] = p.pix[i].mix(c, a*strength) })
}

// glow adds light, fading over blur units.
func (p pen) glow(s shape, c rgb, blur float64) {
	r := blur * p.m.scale()
	p.each(p.blurred(p.cut(s, p.m).grown(int(r)+2), r), func(i, _, _ int, a float32) {
		p.pix[i] = p.pix[i].plus(c.times(a))
	})
}

// face draws a flat surface, the ground or a wall, without an edge.
func (p pen) face(s shape, m material) {
	p.each(p.cut(s, p.m), func(i, x, y int, a float32) { p.pix[i] = p.pix[i].mix(p.lit(&m, 0, 0, x, y), a) })
}

// relief draws a body with an edge rounded over bevel units, without a shadow.
func (p pen) relief(s shape, m material, bevel float64) {
	p.shade(p.cut(s, p.m), m, bevel*p.m.scale(), 1)
}

// sink draws a hollow: a bore, a groove, the inside of a tray.
func (p pen) sink(s shape, m material, bevel float64) {
	cut := p.cut(s, p.m)
	r := bevel * p.m.scale()
	p.shade(cut, m, r, -1)
	// The upper edge throws its shadow into the hollow.
	inner := p.blurred(cut, r*1.5)
	up := int(r)
	p.each(cut, func(i, x, y int, a float32) {
		var lid float32
		if v := y - up - cut.y; v >= 0 {
			lid = inner.a[v*cut.w+max(x-cut.x-up/2, 0)]
		}
		p.pix[i] = p.pix[i].times(1 - a*0.75*(1-lid))
	})
}

// block draws a body that stands depth units high on the ground beneath, with its side and its shadow.
func (p pen) block(s shape, m material, depth, bevel float64) {
	k := p.m.scale()
	top := p.cut(s, p.m)
	side := top.smeared(int(depth*k + 0.5))
	p.cast(side, depth*k*0.35+2, depth*k*0.3+2, depth*k*0.9+8, 0.55)
	if depth > 0 {
		p.shade(side, m.darker(0.62), bevel*k, 1)
	}
	p.shade(top, m, bevel*k, 1)
}

// shadow darkens the ground beneath a shape that floats: shifted by (dx, dy) and faded over blur units.
func (p pen) shadow(s shape, dx, dy, blur float64, strength float32) {
	k := p.m.scale()
	p.cast(p.cut(s, p.m), dx*k, dy*k, blur*k, strength)
}

func (p pen) cast(s stencil, dx, dy, blur float64, strength float32) {
	dark := p.blurred(s.grown(int(blur)+2), blur)
	dark.x += int(dx)
	dark.y += int(dy)
	p.each(dark, func(i, _, _ int, a float32) { p.pix[i] = p.pix[i].times(1 - strength*a) })
}

// spun draws a face turned on a lathe: rings of fine grooves that glint in two opposite sectors.
func (p pen) spun(s shape, x, y float64, m material) {
	o := p.m.at(pt{x, y})
	cx, cy := float32(o.x), float32(o.y)
	sin64, cos64 := math.Sincos(math.Atan2(float64(p.light[1]), float64(p.light[0])) + 0.5)
	sin, cos := float32(sin64), float32(cos64)
	p.each(p.cut(s, p.m), func(i, px, py int, a float32) {
		dx, dy := float32(px)-cx, float32(py)-cy
		r := float32(math.Sqrt(float64(dx*dx+dy*dy))) + 0.01
		groove := p.fine.at(int(r), 7)*0.10 + p.cloud.at(int(r*3), 91)*0.10
		glint := (dx*cos + dy*sin) / r
		glint *= glint
		glint *= glint
		body := p.lit(&m, 0, 0, px, py).times(0.62 + groove + 0.85*glint*glint)
		p.pix[i] = p.pix[i].mix(body, a)
	})
}
