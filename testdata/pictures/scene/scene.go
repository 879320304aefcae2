// Package scene draws the photographs of the demonstration: for every stage of refinishing a brake caliper one picture
// that shows what the stage is about, with the job card in the frame as a workshop puts it there. Nothing in the pictures
// is a photograph; they are drawn, shaded by one lamp, and get the falloff and the noise of a camera, so that whatever
// judges, scales and stores photographs has something real to chew on.
//
// The same Shot gives the same bytes, on every machine of one kind. Shots that differ only in Seed show the same stage
// with the camera held differently, under another light, on another bench.
//
//	shot := scene.Shot{Stage: scene.Masked, Corner: "LF", Casting: "K7-204", Plate: "HX 41 TRE", Taken: when, Seed: 7, Count: 5}
//	err := shot.JPEG(w)
package scene

import (
	"fmt"
	"hash/fnv"
	"image"
	"image/color"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"github.com/gen2brain/jpegn"
)

// Stage says what a picture shows.
type Stage string

const (
	Received  Stage = "received"  // as found: the rusty caliper on the car, wheel off
	Removed   Stage = "removed"   // caliper and bracket on the bench, with the part tag
	Hardware  Stage = "hardware"  // pins, clips and bolts on a tray, bagged and labelled with the corner
	Stripped  Stage = "stripped"  // bare body, piston, seals and boot laid beside
	Blasted   Stage = "blasted"   // even grey casting
	Masked    Stage = "masked"    // plugs in the bores; Count says how many
	Soak      Stage = "soak"      // bare parts hanging in the oven, dial at 230 °C
	Powder    Stage = "powder"    // matt coloured dust, gun and cone
	Probe     Stage = "probe"     // thermocouple taped to the thick section
	Bake      Stage = "bake"      // glow behind the oven window, dial at 200 °C
	Cooled    Stage = "cooled"    // coated parts on the rack, thermometer near room temperature
	Unmasked  Stage = "unmasked"  // plugs counted out on a tray; Count says how many
	Film      Stage = "film"      // gauge on the flat; Reading is on its display
	Defect    Stage = "defect"    // pinholes beside a scale
	Seats     Stage = "seats"     // bare bolt seats, ringed
	Refitted  Stage = "refitted"  // coated caliper on the car, bleeder up
	Emptied   Stage = "emptied"   // the tray and the labelled bag, with nothing left in them
	Washers   Stage = "washers"   // pairs of new copper washers; Count says how many washers
	Torque    Stage = "torque"    // bolt head with a line of paint across
	Bleed     Stage = "bleed"     // tube and catch bottle
	Reservoir Stage = "reservoir" // fluid between MIN and MAX; Level says where
	Wheel     Stage = "wheel"     // wheel on, every nut marked
	Handover  Stage = "handover"  // the car, its keys and its paper
)

// Shot is one picture to be taken.
type Shot struct {
	Stage   Stage
	Corner  string    // as written on card and bags: "LF", "RR"; with an L it is on the left of the car, otherwise on the right
	Casting string    // cast mark, such as "K7-204"
	Plate   string    // also decides the colour of the car
	Taken   time.Time // with the zero time there is no day on the card
	Seed    uint64    // how the camera is held; a portrait shot with an odd seed is stored sideways, orientation 6

	Count   int         // plugs, washers or pinholes in the picture, up to 30; 0 takes the usual: a plug for each of 11 bores, 2 washers, 26 pinholes
	Reading string      // on the display of the meter; empty takes "74 µm" for the film, "21.6 °C" for the probe
	Level   float64     // of the fluid in the reservoir, 0 at MIN, 1 at MAX
	Colour  color.NRGBA // of the powder; the zero value takes a signal orange
}

const (
	longSide, shortSide = 1600, 1200 // of the canvas, pixels
	storedSide          = 960        // the long side of the picture
	softness            = 0.6        // of the lens, pixels of the picture
	quality             = 70

	usualPlugs   = 11 // as many as caliper and bracket have bores
	usualWashers = 2  // one on each side of the banjo
)

// JPEG draws the shot and writes it as a JPEG of 960×720 or, for portrait shots stored upright, 720×960 pixels, with
// orientation, time and zone offset in its EXIF.
func (s Shot) JPEG(w io.Writer) error {
	for _, p := range plans() {
		if p.stage != s.Stage {
			continue
		}
		drawn, err := s.take(p)
		if err != nil {
			return fmt.Errorf("draw %s: %w", s.Stage, err)
		}
		img, orientation := small(drawn, storedSide), uint16(upright)
		if p.portrait && s.Seed%2 == 1 {
			img, orientation = laidOver(img), sideways
		}
		err = jpegn.Encode(w, img, &jpegn.EncodeOptions{
			Quality:     quality,
			Subsampling: jpegn.Subsample420,
			Exif:        exifPayload(orientation, img.Rect.Size(), s.Taken),
		})
		if err != nil {
			return fmt.Errorf("encode %s: %w", s.Stage, err)
		}
		return nil
	}
	return fmt.Errorf("there is no picture for the stage %q; Stages lists those there are", s.Stage)
}

// Stages lists the stages in the order of the work.
func Stages() []Stage {
	var out []Stage
	for _, p := range plans() {
		out = append(out, p.stage)
	}
	return out
}

// plan says how the picture of a stage is laid out.
type plan struct {
	stage    Stage
	portrait bool
	card     pt // upper left corner of the job card
	draw     func(p pen, s Shot)
}

func plans() []plan {
	return []plan{
		{Received, false, pt{60, 830}, received},
		{Removed, false, pt{1060, 60}, removed},
		{Hardware, false, pt{1070, 860}, hardware},
		{Stripped, false, pt{1060, 860}, stripped},
		{Blasted, false, pt{70, 850}, blastedPart},
		{Masked, false, pt{1070, 850}, masked},
		{Soak, true, pt{50, 1270}, soak},
		{Powder, true, pt{70, 1270}, powder},
		{Probe, false, pt{60, 60}, probe},
		{Bake, true, pt{70, 1280}, bake},
		{Cooled, false, pt{1080, 850}, cooled},
		{Unmasked, false, pt{60, 850}, unmasked},
		{Film, false, pt{60, 850}, film},
		{Defect, false, pt{1070, 50}, defect},
		{Seats, false, pt{70, 50}, seats},
		{Refitted, false, pt{60, 830}, refitted},
		{Emptied, false, pt{1070, 860}, emptied},
		{Washers, false, pt{1060, 850}, washers},
		{Torque, false, pt{60, 60}, torque},
		{Bleed, true, pt{60, 1270}, bleed},
		{Reservoir, false, pt{60, 60}, reservoir},
		{Wheel, false, pt{50, 850}, wheelOn},
		{Handover, false, pt{1070, 60}, handover},
	}
}

// right tells whether the corner is on the right of the car. LF, LR and FL, RL are left whichever way a shop writes them.
func (s Shot) right() bool { return !strings.Contains(strings.ToUpper(s.Corner), "L") }

func (s Shot) count(usual int) int {
	if s.Count > 0 {
		return s.Count
	}
	return usual
}

func (s Shot) reading(usual string) string {
	if s.Reading != "" {
		return s.Reading
	}
	return usual
}

func (s Shot) colour() rgb {
	c := s.Colour
	if c.A == 0 {
		return hex(0xf26a1b)
	}
	return hex(uint32(c.R)<<16 | uint32(c.G)<<8 | uint32(c.B))
}

// paint is the colour of the car, the same in every picture of one plate.
func (s Shot) paint() rgb {
	colours := []uint32{0x2d4a6b, 0x8c2426, 0x59636b, 0xc9ccce, 0x2c5c38, 0x4c5a7d, 0x8a7852, 0x3f6f86}
	h := fnv.New32a()
	io.WriteString(h, s.Plate)
	return hex(colours[h.Sum32()%uint32(len(colours))])
}

func (s Shot) take(p plan) (*image.RGBA, error) {
	wide, high := longSide, shortSide
	if p.portrait {
		wide, high = shortSide, longSide
	}
	c, err := newCanvas(wide, high, s.Seed, s.Stage, s.Corner)
	if err != nil {
		return nil, err
	}
	swing := func(by float64) float64 { return (c.rand.Float64()*2 - 1) * by }
	w, ht := float64(c.w), float64(c.h)
	whole := pen{c, affine{a: 1, d: 1}}
	held := whole.move(w/2+swing(56), ht/2+swing(44)).turn(swing(6)).size(1.03 + swing(0.09))
	card := p.card
	if s.right() { // parts of the right side are mirror images of those of the left, and are laid out so
		held = held.stretch(-1, 1)
		card.x = w - card.x - cardWidth
	}
	p.draw(held.move(-w/2, -ht/2), s)
	whole.move(card.x+swing(14), card.y+swing(12)).turn(swing(3)).jobCard(s)
	return c.develop(), nil
}

// newCanvas is an empty canvas under a lamp. What is drawn by chance follows from the seed and from what the picture is
// about.
func newCanvas(wide, high int, seed uint64, about ...any) (*canvas, error) {
	faces, err := loadType()
	if err != nil {
		return nil, err
	}
	h := fnv.New64a()
	fmt.Fprint(h, about...)
	c := &canvas{w: wide, h: high, rand: rand.New(rand.NewPCG(seed, h.Sum64())), faces: faces, pix: make([]rgb, wide*high)}
	c.cloud, c.fine = clouds(c.rand), fineGrain(c.rand)
	c.aimLamp(-95 + 50*(c.rand.Float64()*2-1))
	return c, nil
}

// aimLamp puts the lamp above the scene, in a direction on the picture in degrees clockwise from three o'clock.
func (c *canvas) aimLamp(degrees float64) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	const flat, up = 0.68, 0.73
	c.light = [3]float32{float32(flat * cos), float32(flat * sin), up}
	l := float32(math.Sqrt(flat*flat + (up+1)*(up+1)))
	c.half = [3]float32{c.light[0] / l, c.light[1] / l, (up + 1) / l}
}
