package darkroom

import (
	"fmt"
	"math"
)

// rgb is an amount of light, linear; 1 is white.
type rgb [3]float32

// hex takes a colour as it is written for screens (sRGB, 0xRRGGBB).
func hex(v uint32) (c rgb) {
	for i := range c {
		c[i] = linear(float64(v>>(16-8*i)&255) / 255)
	}
	return c
}

func linear(s float64) float32 {
	if s <= 0.04045 {
		return float32(s / 12.92)
	}
	return float32(math.Pow((s+0.055)/1.055, 2.4))
}

// plateCoat is the colour of every coat on a plate.
func plateCoat() rgb { return hex(0xf26a1b) }

// coat is the colour of a powder, by the word for it.
func coat(colour string) (rgb, error) {
	switch colour {
	case "signal red":
		return hex(0xb01a22), nil
	case "jet black":
		return hex(0x26282b), nil
	case "silver grey":
		return hex(0x9aa0a4), nil
	case "traffic yellow":
		return hex(0xeeb10c), nil
	case "gentian blue":
		return hex(0x1b5592), nil
	}
	return rgb{}, fmt.Errorf("no colour %q is known", colour)
}

// tones turn what a screen shows into light and back.
type tones struct {
	light  [256]float32
	screen [4096]uint8
}

func newTones() *tones {
	t := new(tones)
	for i := range t.light {
		t.light[i] = linear(float64(i) / 255)
	}
	for i := range t.screen {
		v := float64(i) / float64(len(t.screen)-1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		t.screen[i] = uint8(255*v + 0.5)
	}
	return t
}

func (t *tones) shown(light float32) uint8 {
	top := float32(len(t.screen) - 1)
	return t.screen[int(min(max(light, 0), 1)*top+0.5)]
}
