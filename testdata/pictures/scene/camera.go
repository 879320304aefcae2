package scene

import (
	"image"
	"math"

	"github.com/disintegration/imaging"
)

// develop turns the light on the canvas into a photograph: falloff of the lamp, darker corners, the soft shoulder of
// bright tones, and the noise of the sensor.
func (c *canvas) develop() *image.RGBA {
	const steps, top = 4096, 1.6
	var tone [steps]float32
	for i := range tone {
		v := float64(i) / steps * top
		if v > 0.7 { // from here on bright tones close up instead of clipping
			v = 0.7 + 0.3*(1-math.Exp(-(v-0.7)/0.3))
		}
		tone[i] = float32(255 * math.Pow(v, 1/2.2))
	}
	lampX, lampY := 0.5+0.5*float64(c.light[0])+0.1, 0.5+0.45*float64(c.light[1])
	fall := func(n int, centre float64) (lamp, edge []float32) {
		for i := range n {
			u := (float64(i) + 0.5) / float64(n)
			lamp = append(lamp, float32((u-centre)*(u-centre)))
			edge = append(edge, float32((u-0.5)*(u-0.5)))
		}
		return lamp, edge
	}
	lx, ex := fall(c.w, lampX)
	ly, ey := fall(c.h, lampY)
	out := image.NewRGBA(image.Rect(0, 0, c.w, c.h))
	seed := c.rand.Uint64()
	bands(c.h, c.w, func(from, to int) {
		for y := from; y < to; y++ {
			noise := (seed + uint64(y)*0x9e3779b97f4a7c15) | 1
			for x := range c.w {
				noise ^= noise << 13
				noise ^= noise >> 7
				noise ^= noise << 17
				grey := 3 * (unit(noise) + unit(noise>>12))
				e := ex[x] + ey[y]
				light := (1.18 - 0.72*(lx[x]+ly[y])) * (1 - 1.65*e*e)
				i := y*c.w + x
				seen := c.pix[i].times(light * (steps / top))
				px := out.Pix[i*4 : i*4+4 : i*4+4]
				for k, v := range [3]float32{seen.r, seen.g, seen.b} {
					v = tone[int(min(max(v, 0), steps-1))] + grey + 1.8*unit(noise>>(24+10*k))
					px[k] = uint8(min(max(v+0.5, 0), 255))
				}
				px[3] = 255
			}
		}
	})
	return out
}

// unit takes ten bits as a number from -1 to 1.
func unit(bits uint64) float32 { return float32(bits&1023)/511.5 - 1 }

// small is the picture as the camera stores it: fewer pixels, side of them on the long side, and a little softened by the
// lens.
func small(img *image.RGBA, side int) *image.NRGBA {
	w, h := side, 0
	if img.Rect.Dy() > img.Rect.Dx() {
		w, h = 0, side
	}
	return imaging.Blur(imaging.Resize(img, w, h, imaging.Gaussian), softness)
}

// laidOver is the picture as a camera held upright stores it: turned a quarter anticlockwise.
func laidOver(img *image.NRGBA) *image.NRGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	out := image.NewNRGBA(image.Rect(0, 0, h, w))
	for row := range w {
		for col := range h {
			copy(out.Pix[row*out.Stride+col*4:][:4], img.Pix[col*img.Stride+(w-1-row)*4:][:4])
		}
	}
	return out
}
