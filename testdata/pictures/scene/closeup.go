package scene

import "math"

// Close-ups of what is seen of defects, all at one scale, with a scale at the lower edge.

// mm is a millimetre in a close-up, in units of the drawing.
const mm = 80

// closeUp draws a look, so many of them in one picture.
type closeUp struct {
	look string
	most int // up to how many there is a plate of
	one  func(p pen, m material)
}

func closeUps() []closeUp {
	return []closeUp{
		{"pinhole", 3, pinprick},
		{"crater", 3, hollow},
		{"blister", 3, dome},
		{"run", 3, drip},
		{"inclusion", 3, fibre},
		{"orange peel", 2, nil}, // it is the whole surface
	}
}

// scene draws n of the look.
func (c closeUp) scene(n int) func(pen, Shot) {
	return func(p pen, s Shot) {
		m := cured(s.colour())
		if c.one == nil {
			p.peel(m)
		} else {
			p.paint(func(x, y int) rgb { return p.lit(&m, 0, 0, x, y) })
		}
		p.soft(line(380, pt{-100, 200 + 700*p.rand.Float64()}, pt{1700, 200 + 500*p.rand.Float64()}), rgb{1, 0.99, 0.97}, 0.13, 220) // a lamp from the side
		for i := range n {
			if c.one == nil {
				break
			}
			// They stand where every cut of the plate has them.
			x := 800 + (float64(i)-float64(n-1)/2)*240 + 60*(p.rand.Float64()*2-1)
			c.one(p.move(x, 330+240*p.rand.Float64()), m)
		}
		p.scale()
	}
}

// scale is a steel rule along the lower edge, a line for each millimetre.
func (p pen) scale() {
	const top = 985
	p.block(box(-200, top, 2000, 400), steel(), 8, 5)
	p.fill(box(-200, top+3, 2000, 397), hex(0xd6d8d9), 0.55)
	for i := range 24 {
		length := 60.0
		if i%5 == 0 {
			length = 110
		}
		p.fill(box(float64(i)*mm-120, top, 7, length), ink(), 1)
	}
}

// pinprick is a tiny hole, right through the film.
func pinprick(p pen, m material) {
	r := mm * (0.17 + 0.05*p.rand.Float64())
	p.relief(ring(0, 0, r*1.45, r), m, r*0.3)
	p.sink(circle(0, 0, r), m.darker(0.2), r*0.6)
	p.fill(circle(0, 0, r*0.62), hex(0x191615), 0.95)
}

// hollow is a crater: round, wider than deep, with a rim, its floor covered.
func hollow(p pen, m material) {
	r := mm * (0.9 + 0.25*p.rand.Float64())
	p.relief(circle(0, 0, r*1.3), m, r*0.32)
	p.sink(circle(0, 0, r), m, r*0.75)
	p.soft(circle(0, 0, r*0.5), m.base, 0.55, r*0.3)
}

// dome is a blister: the film is whole, and hollow beneath.
func dome(p pen, m material) {
	r := mm * (1.3 + 0.4*p.rand.Float64())
	s := oval(0, 0, r*1.08, r*0.95)
	p.shadow(s, r*0.14, r*0.2, r*0.35, 0.5)
	m.shine, m.gloss = 0.9, 4
	p.relief(s, m, r*0.95)
}

// drip is a run: a thick drop that came down towards a lower edge.
func drip(p pen, m material) {
	w, long := mm*(0.75+0.2*p.rand.Float64()), mm*(3.2+1.6*p.rand.Float64())
	p = p.move(0, -330)
	s := line(w, pt{0, -700}, pt{0, long}).and(oval(0, long, w*0.72, w*0.95)).and(solid(pt{-w * 1.6, -700}, pt{w * 1.6, -700}, pt{w * 0.5, long * 0.35}, pt{-w * 0.5, long * 0.35}))
	p.shadow(s, w*0.12, w*0.22, w*0.3, 0.5)
	p.relief(s, m, w*0.48)
}

// fibre is an inclusion: a hair or a speck that is held in the film.
func fibre(p pen, m material) {
	turn := p.rand.Float64() * 360
	q := p.turn(turn)
	hair := curve(pt{-1.3 * mm, 0.1 * mm}, pt{-0.5 * mm, -0.35 * mm}, pt{0.3 * mm, 0.3 * mm}, pt{1.2 * mm, -0.2 * mm})
	if p.rand.IntN(2) == 0 {
		hair = curve(pt{-0.3 * mm, 0}, pt{0.1 * mm, -0.12 * mm}, pt{0.35 * mm, 0.1 * mm})
	}
	q.relief(line(0.34*mm, hair...), m, 0.15*mm)
	q.fill(line(0.1*mm, hair...), hex(0x1d1c1c), 0.85)
}

// peel is a surface of even waves, like the skin of an orange.
func (p pen) peel(m material) {
	const waves, long, steep = 9, 1.6 * mm, 0.13
	var kx, ky, at [waves]float64
	for i := range waves {
		a, k := math.Pi*(float64(i)+p.rand.Float64())/waves, 2*math.Pi/(long*(0.8+0.5*p.rand.Float64()))
		sin, cos := math.Sincos(a)
		kx[i], ky[i], at[i] = k*cos, k*sin, 2*math.Pi*p.rand.Float64()
	}
	p.paint(func(x, y int) rgb {
		var gx, gy float64
		for i := range waves {
			k := math.Hypot(kx[i], ky[i])
			slope := math.Cos(kx[i]*float64(x)+ky[i]*float64(y)+at[i]) * steep / 1.5
			gx, gy = gx+slope*kx[i]/k, gy+slope*ky[i]/k
		}
		return p.lit(&m, float32(gx), float32(gy), x, y)
	})
}
