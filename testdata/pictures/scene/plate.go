package scene

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/gen2brain/jpegn"
)

// Plate is a picture of which many photographs are made: each is cut, lit, coloured and marked on its own. So nothing is
// written in it, and whatever has a coat is of the signal orange that a print replaces; nothing beside a coat is as
// orange. Its name says what it shows, with a number: coated-2, crater-1.
type Plate struct {
	Name string
	seed uint64
	draw func(p pen, s Shot)
	shot Shot
	hand float64 // how freely the camera is held: 1 as over a bench, 0 square to the surface, at the scale of close-ups
}

const (
	plateSide    = 640 // the long side of a plate, pixels
	plateQuality = 84
)

// Plates lists the plates of a year.
func Plates() (list []Plate) {
	add := func(name string, n int, p Plate) {
		p.Name, p.seed = fmt.Sprintf("%s-%d", name, n), uint64(n)
		list = append(list, p)
	}
	for i, plate := range []string{"HX 41 TRE", "TRL 4471", "GVN 0316", "QB 7 LUM"} {
		add("came", i+1, Plate{draw: received, shot: Shot{Corner: "LF", Plate: plate}, hand: 1})
	}
	for n := range 3 {
		add("off", n+1, Plate{draw: rustyPair, hand: 1})
		add("coated", n+1, Plate{draw: coatedPair, hand: 1})
	}
	for n := range 2 {
		add("coated-caliper", n+1, Plate{draw: coatedCaliper, hand: 1})
		add("coated-bracket", n+1, Plate{draw: coatedBracket, hand: 1})
		add("masked", n+1, Plate{draw: maskedPair, hand: 1})
		add("seats", n+1, Plate{draw: bareSeats, hand: 1})
		add("emptied", n+1, Plate{draw: emptied, hand: 1})
	}
	for _, c := range closeUps() {
		for n := 1; n <= c.most; n++ {
			add(strings.ReplaceAll(c.look, " ", "-"), n, Plate{draw: c.scene(n)})
		}
	}
	return list
}

// JPEG draws the plate and writes it as a JPEG of 640×480 pixels, upright. Its time is the zero time.
func (p Plate) JPEG(w io.Writer) error {
	c, err := newCanvas(longSide, shortSide, p.seed, p.Name)
	if err != nil {
		return fmt.Errorf("draw %s: %w", p.Name, err)
	}
	swing := func(by float64) float64 { return (c.rand.Float64()*2 - 1) * by * p.hand }
	whole := pen{c, affine{a: 1, d: 1}}
	held := whole.move(longSide/2+swing(56), shortSide/2+swing(44)).turn(swing(6)).size(1 + 0.03*p.hand + swing(0.09))
	p.draw(held.move(-longSide/2, -shortSide/2), p.shot)
	img := small(c.develop(), plateSide)
	err = jpegn.Encode(w, img, &jpegn.EncodeOptions{
		Quality:     plateQuality,
		Subsampling: jpegn.Subsample420,
		Exif:        exifPayload(upright, img.Rect.Size(), time.Time{}),
	})
	if err != nil {
		return fmt.Errorf("encode %s: %w", p.Name, err)
	}
	return nil
}

// rustyPair is what comes off a corner.
func rustyPair(p pen, s Shot) {
	p.bench()
	p.move(620+90*p.rand.Float64(), 440).turn(12*p.rand.Float64()-6).size(1.12).caliper(rusty(), "")
	p.move(880+140*p.rand.Float64(), 900).turn(10*p.rand.Float64()-5).size(1.05).bracket(rusty(), false)
}

// maskedPair is the same after the blast, with a plug in every bore.
func maskedPair(p pen, s Shot) {
	p.bench()
	for _, part := range []struct {
		on    pen
		draw  func(pen)
		bores []bore
	}{
		{p.move(600+90*p.rand.Float64(), 440).turn(12*p.rand.Float64() - 6).size(1.12), func(q pen) { q.caliper(blasted(), "") }, caliperBores()},
		{p.move(880+140*p.rand.Float64(), 900).turn(10*p.rand.Float64() - 5).size(1.05), func(q pen) { q.bracket(blasted(), false) }, bracketBores()},
	} {
		part.draw(part.on)
		part.on.plugBores(part.bores, len(part.bores))
	}
}

// Parts that came out of the oven, without their plugs, on a ground without a colour of its own.

func (p pen) greyGround() { []func(){p.steelBench, p.rubberMat}[p.rand.IntN(2)]() }

func coatedPair(p pen, s Shot) {
	p.greyGround()
	p.move(560+90*p.rand.Float64(), 440).turn(12*p.rand.Float64()-6).size(1.12).caliper(cured(s.colour()), "")
	p.move(900+140*p.rand.Float64(), 880).turn(10*p.rand.Float64()-5).size(1.05).bracket(cured(s.colour()), true)
}

func coatedCaliper(p pen, s Shot) {
	p.greyGround()
	p.move(760+80*p.rand.Float64(), 600).turn(16*p.rand.Float64()-8).size(1.75).caliper(cured(s.colour()), "")
}

func coatedBracket(p pen, s Shot) {
	p.greyGround()
	p.move(760+80*p.rand.Float64(), 600).turn(16*p.rand.Float64()-8).size(1.95).bracket(cured(s.colour()), true)
}

// bareSeats are the bolt seats of a coated bracket, close by.
func bareSeats(p pen, s Shot) {
	p.greyGround()
	p.move(760+80*p.rand.Float64(), 620).turn(12*p.rand.Float64()-6).size(2.1).bracket(cured(s.colour()), true)
}
