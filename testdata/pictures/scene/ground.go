package scene

import "math"

// bench is the ground of a close-up: steel, wood or rubber mat, as the seed falls.
func (p pen) bench() {
	[]func(){p.steelBench, p.woodBench, p.rubberMat}[p.rand.IntN(3)]()
}

func (p pen) steelBench() {
	base := hex(0x8d9296)
	p.paint(func(x, y int) rgb {
		streak := p.fine.at(x>>5, y)*0.06 + p.cloud.at(x/5, y)*0.07 + p.cloud.at(x/4+90, y/3)*0.10
		return base.times(1 + streak)
	})
	for range 14 { // scratches
		x, y := p.rand.Float64()*1600, p.rand.Float64()*1600
		a, l := p.rand.Float64()*0.8-0.4, 40+p.rand.Float64()*220
		p.fill(line(1.6, pt{x, y}, pt{x + l*math.Cos(a), y + l*math.Sin(a)}), hex(0xd5d9dc), 0.30)
	}
}

func (p pen) woodBench() {
	light, dark := hex(0xb98f5f), hex(0x8a6238)
	p.paint(func(x, y int) rgb {
		plank := (y + 40) / 236
		v := y + 9*plank + int(14*p.cloud.at(x/6+plank*77, y/6))
		grain := p.cloud.at(x/9+plank*131, v*3)*0.6 + p.cloud.at(x/3, y/3)*0.25 + p.fine.at(x>>4, v)*0.12
		c := light.mix(dark, clamp(0.45+grain))
		switch edge := (y + 40) % 236; {
		case edge < 4:
			return c.times(0.25)
		case edge < 7:
			return c.times(1.15)
		}
		return c
	})
	for range 4 { // oil
		p.soft(oval(p.rand.Float64()*1600, p.rand.Float64()*1600, 60+p.rand.Float64()*70, 40+p.rand.Float64()*40), hex(0x2c2016), 0.4, 50)
	}
}

func (p pen) rubberMat() {
	base := hex(0x394046)
	p.paint(func(x, y int) rgb {
		k := 1 + 0.14*p.cloud.at(x/3, y/3) + 0.10*p.fine.at(x, y)
		switch g := (x + y/2) % 24; {
		case g < 2:
			k *= 0.62
		case g < 4:
			k *= 1.2
		}
		return base.times(k)
	})
}

func (p pen) paper() {
	base := hex(0xe9e6df)
	p.paint(func(x, y int) rgb { return base.times(0.97 + 0.03*p.cloud.at(x/2, y/2) + 0.015*p.fine.at(x, y)) })
}

// wall is a plain painted wall or sheet: booth, oven lining.
func (p pen) wall(c rgb, pleat int) {
	p.paint(func(x, y int) rgb {
		k := 0.96 + 0.08*p.cloud.at(x/4, y/4) + 0.02*p.fine.at(x, y)
		if pleat > 0 {
			g := float64(x%pleat) / float64(pleat)
			k *= 0.82 + 0.22*float32(math.Abs(math.Sin(g*math.Pi)))
		}
		return c.times(k)
	})
}

// floor is concrete.
func (p pen) floor(top float64) {
	m := material{base: hex(0x8b8880), spot: hex(0x77746d), spots: 0.5, rough: 0.35}
	p.face(box(-400, top, 2400, 1800), m)
}

// tray is a shallow tray of sheet steel.
func (p pen) tray(w, h float64) {
	p.block(rounded(0, 0, w, h, 34), steel(), 16, 10)
	sheet := material{base: hex(0xa4a8ab), spot: hex(0x9a9ea1), spots: 0.4, shine: 0.25, gloss: 3, rough: 0.10, metal: 0.25}
	p.sink(rounded(22, 22, w-44, h-44, 24), sheet, 16)
}
