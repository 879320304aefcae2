package scene

// The car comes in, and the parts come off and get clean.

// onCar draws a corner of the car.
func (p pen) onCar(s Shot, m, bolts material, clean bool) {
	const x, y, r = 740, 590, 400
	p.wheelWell(s.paint(), x, y, r)
	p.move(x, y).disc(r, clean)
	p.move(x, y).mounted(r, m, bolts, s.Casting)
	if clean { // the cap on the bleeder
		b := bleederTop(r)
		p.move(x+b.x, y+b.y).relief(rounded(-17, -16, 34, 46, 13), rubber(), 12)
	}
}

func received(p pen, s Shot) {
	p.onCar(s, rusty(), rusty().darker(0.8), false)
}

func removed(p pen, s Shot) {
	p.bench()
	p.move(560, 470).turn(-6).size(1.35).caliper(rusty(), s.Casting)
	p.move(640, 995).turn(4).size(1.05).bracket(rusty(), false)
	p.move(1120, 600).turn(12).tag(s)
}

func hardware(p pen, s Shot) {
	p.bench()
	q := p.move(110, 90).turn(-1)
	q.tray(1040, 800)
	q.move(120, 120).turn(6).boltSide(250, 38, zinc())
	q.move(120, 250).turn(-3).boltSide(250, 38, zinc())
	q.move(110, 400).turn(-4).size(1.15).pin(240, true)
	q.move(110, 510).turn(5).size(1.15).pin(240, true)
	q.move(520, 110).turn(10).size(1.2).bleederSide(zinc())
	q.move(720, 110).washer(42, copper().darker(0.55))
	q.move(830, 140).washer(42, copper().darker(0.55))
	for i, a := range []float64{8, -12, 170, 12} {
		q.move(150+float64(i)*240, 680).turn(a).clip(steel().darker(0.7))
	}
	q.move(460, 220).turn(-3).size(1.15).bagged(s, 460, 290)
}

func stripped(p pen, s Shot) {
	p.bench()
	p.move(520, 470).turn(5).size(1.38).caliper(bareIron(), s.Casting)
	p.move(1200, 250).piston(120)
	p.move(1215, 570).boot(118)
	p.move(1010, 730).seal(100)
	p.move(1410, 560).turn(80).bleederSide(zinc())
	p.move(230, 1000).turn(8).pin(280, false)
	p.move(580, 1030).turn(-5).pin(280, false)
}

func blastedPart(p pen, s Shot) {
	p.wall(hex(0x3b4147), 0)
	p.floorOfCabinet()
	p.move(880, 480).turn(-4).size(1.62).caliper(blasted(), s.Casting)
}

// floorOfCabinet is the grid of the blasting cabinet, with glass bead lying on it.
func (p pen) floorOfCabinet() {
	var holes shape
	for y := 0; y < 18; y++ {
		for x := 0; x < 24; x++ {
			holes = holes.and(circle(float64(x*74+y%2*37)-40, float64(y*68)-20, 22))
		}
	}
	plate := material{base: hex(0x7d8488), spot: hex(0x9a9fa2), spots: 0.45, shine: 0.15, gloss: 3, rough: 0.35, metal: 0.2}
	p.face(box(-200, -200, 2000, 1600), plate)
	p.sink(holes, plate.darker(0.2), 8)
	for range 14 {
		x, y := p.rand.Float64()*1600, p.rand.Float64()*1200
		p.soft(oval(x, y, 60+p.rand.Float64()*90, 20+p.rand.Float64()*40), hex(0xd8dadb), 0.55, 40)
	}
}

func soak(p pen, s Shot) {
	p.oven(hex(0x6d5a45))
	p.hanging(s, blasted(), bareIron())
	p.soft(oval(560, 300, 500, 160), hex(0xffb066), 0.16, 140) // heat shimmer
	p.move(960, 1330).dial(200, 230)
}

// oven is the inside of the oven: lining, rails and a glow from the elements.
func (p pen) oven(lining rgb) {
	p.wall(lining, 96)
	p.soft(box(-100, 1380, 1500, 300), rgb{}, 0.6, 160)
	for i := range 2 {
		y := 1130 + float64(i)*40
		p.shadow(box(-200, y, 1700, 18), 0, 12, 14, 0.6)
		p.relief(box(-200, y, 1700, 18), steel().darker(0.7), 8)
	}
	p.glow(box(-100, 1190, 1500, 46), rgb{0.9, 0.26, 0.05}, 60)
	for i := range 3 {
		p.glow(line(12, pt{-100, 1196 + float64(i)*22}, pt{1400, 1196 + float64(i)*22}), rgb{0.9, 0.35, 0.08}, 8)
	}
	p.shadow(box(-200, 96, 1700, 30), 0, 30, 24, 0.6)
	p.relief(box(-200, 96, 1700, 30), steel(), 14)
}

// hanging hangs caliper and bracket from the rod.
func (p pen) hanging(s Shot, m, second material) {
	q := p.move(780, 860).turn(-4)
	q.move(-223, -118).hook(620)
	q.move(223, -118).hook(620)
	q.shadow(box(-250, -120, 500, 240), 40, 60, 70, 0.45)
	q.size(0.92).bracket(second, false)
	q.size(0.92).plugBores(bracketBores(), s.count(usualPlugs)-len(caliperBores()))
	q = p.move(410, 470).turn(3)
	q.move(-60, -270).hook(120)
	q.move(60, -270).hook(120)
	q.shadow(circle(0, 0, 290), 50, 70, 80, 0.5)
	q.size(0.98).caliper(m, s.Casting)
	q.size(0.98).plugBores(caliperBores(), s.count(usualPlugs))
}
