package scene

import (
	"math"
	"strconv"
)

// dial is a round thermometer of radius r, in °C from 0 to 300.
func (p pen) dial(r, degrees float64) {
	p = p.unmirrored(0)
	p.block(circle(0, 0, r), chrome(), r*0.12, r*0.10)
	p.fill(circle(0, 0, r*0.86), hex(0xf3f1e8), 1)
	p.soft(ring(0, 0, r*0.9, r*0.80), rgb{}, 0.4, r*0.08)
	angle := func(t float64) float64 { return 135 + 270*t/300 }
	for t := 0.0; t <= 300; t += 10 {
		a, w, in := angle(t), r*0.016, 0.73
		if int(t)%50 == 0 {
			w, in = r*0.035, 0.66
			q := polar(r*0.52, a)
			p.centred(p.faces.print, q.x, q.y+r*0.06, r*0.18, strconv.Itoa(int(t)), ink())
		}
		p.fill(line(w, polar(r*in, a), polar(r*0.80, a)), ink(), 1)
	}
	p.centred(p.faces.print, 0, r*0.40, r*0.20, "°C", ink())
	a := angle(degrees)
	needle := solid(polar(r*0.74, a), polar(r*0.06, a+90), polar(r*0.2, a+180), polar(r*0.06, a-90))
	p.shadow(needle, 3, 6, 6, 0.5)
	p.fill(needle, hex(0xc22a1e), 1)
	p.relief(circle(0, 0, r*0.09), chrome(), r*0.05)
	p.fill(solid(pt{-r * 0.7, -r * 0.35}, pt{-r * 0.2, -r * 0.78}, pt{0, -r * 0.8}, pt{-r * 0.75, -r * 0.1}), rgb{1, 1, 1}, 0.14)
}

// meter is a box in the hand with a display; the text stands on it.
func (p pen) meter(text string, shell rgb) {
	p.block(rounded(-150, -240, 300, 480, 46), plastic(shell), 26, 26)
	p.relief(rounded(-132, -222, 264, 260, 26), plastic(hex(0x202226)), 8)
	p.sink(rounded(-116, -200, 232, 150, 10), material{base: hex(0xb9c6a4), rough: 0.02}, 8)
	s, w := letters(p.faces.mono, 78, text)
	fit := min(1, 212/w)
	p.move(-w/2*fit, -100).unmirrored(w*fit).size(fit).fill(s, hex(0x14180f), 0.95)
	for i, x := range []float64{-74, 0, 74} {
		c := []uint32{0x3c7a46, 0x8a8e92, 0xb03a2c}[i]
		p.block(rounded(x-28, 86, 56, 44, 14), plastic(hex(c)), 6, 10)
		p.block(rounded(x-28, 152, 56, 44, 14), plastic(hex(0x8a8e92)), 6, 10)
	}
}

// ruler is a steel rule of n centimetres, 10 units per millimetre.
func (p pen) ruler(n int) {
	l := float64(n)*100 + 60
	p = p.unmirrored(l)
	p.block(box(0, 0, l, 130), steel(), 6, 4)
	p.fill(box(2, 2, l-4, 126), hex(0xd6d8d9), 0.55)
	for mm := range n*10 + 1 {
		x, h := 30+float64(mm)*10, 34.0
		if mm%5 == 0 {
			h = 50
		}
		if mm%10 == 0 {
			h = 66
			p.centred(p.faces.print, x, 112, 42, strconv.Itoa(mm/10), ink())
		}
		p.fill(box(x-1.3, 0, 2.6, h), ink(), 1)
	}
	p.write(p.faces.print, 62, 112, 28, "cm", ink())
}

// gun is the powder gun, its muzzle at the origin, pointing left, with its cable.
func (p pen) gun() {
	shell := plastic(hex(0x3d4650))
	cable := line(34, curve(pt{300, 330}, pt{330, 480}, pt{260, 620}, pt{420, 820})...)
	p.shadow(cable, 14, 20, 20, 0.4)
	p.relief(cable, rubber(), 16)
	p.block(solid(pt{210, 20}, pt{320, 20}, pt{350, 330}, pt{250, 340}), shell, 12, 22)
	p.relief(line(16, curve(pt{206, 70}, pt{180, 120}, pt{204, 170})...), plastic(hex(0xb03a2c)), 7)
	p.block(rounded(90, -62, 330, 124, 46), shell, 12, 34)
	p.block(solid(pt{0, -26}, pt{100, -44}, pt{100, 44}, pt{0, 26}), plastic(hex(0xd9d6cc)), 8, 16)
	p.relief(box(-22, -34, 26, 68), plastic(hex(0xc9c6bc)), 8)
}

// dust is powder in the air: densest at the origin, spreading leftwards over a length.
func (p pen) dust(c rgb, length float64) {
	for i := range 26 {
		t := float64(i) / 25
		x, r := -length*t, 16+length*0.30*t
		p.soft(oval(x-r*0.4, 0, r*0.9, r), c, float32(0.22*(1-t)*(1-t)+0.06), r*0.7)
	}
	for range 2600 {
		t := math.Sqrt(p.rand.Float64())
		y := (p.rand.Float64() + p.rand.Float64() - 1) * length * 0.40 * t
		q := p.m.at(pt{-length * t * (0.7 + 0.4*p.rand.Float64()), y})
		x, yy := int(q.x), int(q.y)
		if x > 0 && yy > 0 && x < p.w-1 && yy < p.h-1 {
			for _, i := range []int{yy*p.w + x, yy*p.w + x + 1, (yy+1)*p.w + x} {
				p.pix[i] = p.pix[i].mix(c.mix(rgb{1, 1, 1}, 0.12), 0.75)
			}
		}
	}
}

// thermocouple is a two-colour wire along the points, a bead at the first of them under amber tape.
func (p pen) thermocouple(ps ...pt) {
	wire := curve(ps...)
	p.shadow(line(15, wire...), 5, 10, 10, 0.55)
	p.relief(line(15, wire...), plastic(hex(0xe8c02a)), 7)
	for i := 0; i+1 < len(wire); i += 3 {
		p.fill(line(4, wire[i], wire[i+1]), hex(0xb8322a), 0.9)
	}
	p.relief(circle(ps[0].x, ps[0].y, 15), steel(), 9)
}

// hook is a wire hook from a rod above down to the origin.
func (p pen) hook(up float64) {
	s := line(11, append([]pt{{0, -up}}, append([]pt{{0, -40}}, arc(0, -14, 24, 270, 450, 14)...)...)...)
	p.shadow(s, 8, 10, 12, 0.4)
	p.relief(s, steel(), 5)
}

// bottle is a clear catch bottle standing about the origin, filled to a height with used fluid.
func (p pen) bottle(level float64) {
	glass := blob(pt{-46, -250}, pt{46, -250}, pt{52, -196}, pt{120, -150}, pt{130, -60}, pt{130, 180}, pt{110, 210}, pt{-110, 210},
		pt{-130, 180}, pt{-130, -60}, pt{-120, -150}, pt{-52, -196})
	p.shadow(glass, 16, 18, 30, 0.5)
	p.fill(glass, hex(0xdfe8e6), 0.30)
	y := 200 - level
	p.fill(rounded(-122, y, 244, 200-y, 18), hex(0xa8772a), 0.72)
	p.fill(oval(0, y, 122, 12), hex(0xd2a55a), 0.8)
	for range 9 { // foam
		x := p.rand.Float64()*180 - 90
		p.fill(ring(x, y-2+p.rand.Float64()*10, 7, 5), hex(0xf3e6c8), 0.8)
	}
	for i := range 6 {
		p.fill(box(-112, 170-float64(i)*50, 34, 4), hex(0xf4f4f0), 0.85)
	}
	p.soft(line(16, pt{-92, -120}, pt{-98, 150}), rgb{1, 1, 1}, 0.55, 8)
	p.soft(line(8, pt{96, -100}, pt{102, 150}), rgb{1, 1, 1}, 0.35, 6)
	p.fill(glass.less(blobInset(glass)), rgb{1, 1, 1}, 0.25)
	p.relief(rounded(-60, -296, 120, 60, 10), plastic(hex(0x23262a)), 10)
}

// blobInset is the outline a little smaller about the origin.
func blobInset(s shape) shape {
	var out shape
	for _, l := range s {
		in := make([]pt, len(l))
		for i, p := range l {
			in[i] = pt{p.x * 0.965, p.y * 0.98}
		}
		out = append(out, in)
	}
	return out
}
