package scene

import (
	"image"
	"image/draw"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"golang.org/x/image/vector"
)

// rgb is an amount of light, linear, 1 is white paper under the lamp.
type rgb struct{ r, g, b float32 }

// hex takes a colour as it is written for screens (sRGB, 0xRRGGBB).
func hex(v uint32) rgb {
	linear := func(v uint32) float32 {
		c := float64(v&255) / 255
		if c <= 0.04045 {
			return float32(c / 12.92)
		}
		return float32(math.Pow((c+0.055)/1.055, 2.4))
	}
	return rgb{linear(v >> 16), linear(v >> 8), linear(v)}
}

func (c rgb) mix(d rgb, share float32) rgb {
	return rgb{c.r + (d.r-c.r)*share, c.g + (d.g-c.g)*share, c.b + (d.b-c.b)*share}
}

func (c rgb) times(k float32) rgb { return rgb{c.r * k, c.g * k, c.b * k} }

func (c rgb) plus(d rgb) rgb { return rgb{c.r + d.r, c.g + d.g, c.b + d.b} }

// canvas is the light that reaches the camera, before it is developed into a photograph.
type canvas struct {
	w, h  int
	pix   []rgb
	light [3]float32 // towards the lamp, length 1
	half  [3]float32 // halfway between lamp and camera: where surfaces glint
	cloud texture
	fine  texture
	rand  *rand.Rand
	faces typeface

	raster vector.Rasterizer // these three are kept for their memory
	mask   image.Alpha
	tmp    []float32
}

// stencil is a shape turned into pixels: how much of each pixel it covers, 0 to 1, with its place on the canvas. It
// may reach past the edge of the canvas, so that edges of things outside of the frame fall outside too.
type stencil struct {
	x, y, w, h int
	a          []float32
}

const overhang = 64 // how far stencils reach past the canvas, pixels

func (c *canvas) cut(s shape, m affine) stencil {
	lo, hi := pt{math.Inf(1), math.Inf(1)}, pt{math.Inf(-1), math.Inf(-1)}
	for _, line := range s {
		for _, p := range line {
			q := m.at(p)
			lo = pt{min(lo.x, q.x), min(lo.y, q.y)}
			hi = pt{max(hi.x, q.x), max(hi.y, q.y)}
		}
	}
	x0, y0 := int(max(lo.x-2, -overhang)), int(max(lo.y-2, -overhang))
	x1, y1 := int(min(hi.x+3, float64(c.w+overhang))), int(min(hi.y+3, float64(c.h+overhang)))
	if x1 <= x0 || y1 <= y0 {
		return stencil{}
	}
	out := stencil{x: x0, y: y0, w: x1 - x0, h: y1 - y0}
	z := &c.raster
	z.Reset(out.w, out.h)
	z.DrawOp = draw.Src
	for _, line := range s {
		for i, p := range line {
			q := m.at(p)
			x, y := float32(q.x-float64(x0)), float32(q.y-float64(y0))
			if i == 0 {
				z.MoveTo(x, y)
			} else {
				z.LineTo(x, y)
			}
		}
		z.ClosePath()
	}
	if n := out.w * out.h; cap(c.mask.Pix) < n {
		c.mask.Pix = make([]uint8, n)
	}
	c.mask.Pix = c.mask.Pix[:out.w*out.h]
	c.mask.Stride, c.mask.Rect = out.w, image.Rect(0, 0, out.w, out.h)
	z.Draw(&c.mask, c.mask.Rect, image.Opaque, image.Point{})
	out.a = make([]float32, out.w*out.h)
	for i, v := range c.mask.Pix {
		out.a[i] = float32(v) / 255
	}
	return out
}

// grown is the same stencil with n empty pixels more on each side.
func (s stencil) grown(n int) stencil {
	out := stencil{s.x - n, s.y - n, s.w + 2*n, s.h + 2*n, nil}
	out.a = make([]float32, out.w*out.h)
	for y := range s.h {
		copy(out.a[(y+n)*out.w+n:], s.a[y*s.w:(y+1)*s.w])
	}
	return out
}

// smeared is the stencil drawn downwards by d pixels: the outline of a body of that height, seen from slightly in front.
func (s stencil) smeared(d int) stencil {
	out := stencil{s.x, s.y, s.w, s.h + d, make([]float32, s.w*(s.h+d))}
	copy(out.a, s.a)
	for done := 0; done < d; {
		step := min(max(done, 1), d-done)
		for y := out.h - 1; y >= step; y-- {
			row, up := out.a[y*s.w:(y+1)*s.w], out.a[(y-step)*s.w:(y-step+1)*s.w]
			for x, v := range up {
				row[x] = max(row[x], v)
			}
		}
		done += step
	}
	return out
}

// each calls f for every pixel of the canvas that the stencil covers. Calls for different rows may run at the same time.
func (c *canvas) each(s stencil, f func(i, x, y int, a float32)) {
	x0, x1 := max(s.x, 0), min(s.x+s.w, c.w)
	top, low := max(s.y, 0), min(s.y+s.h, c.h)
	bands(low-top, x1-x0, func(from, to int) {
		for y := top + from; y < top+to; y++ {
			row := s.a[(y-s.y)*s.w : (y-s.y+1)*s.w]
			for x := x0; x < x1; x++ {
				if a := row[x-s.x]; a > 0.004 {
					f(y*c.w+x, x, y, a)
				}
			}
		}
	})
}

// paint fills the whole canvas.
func (c *canvas) paint(f func(x, y int) rgb) {
	bands(c.h, c.w, func(from, to int) {
		for y := from; y < to; y++ {
			for x := range c.w {
				c.pix[y*c.w+x] = f(x, y)
			}
		}
	})
}

// bands cuts n rows of the given width into one band for each processor and waits until all are done. Little work stays
// in one piece.
func bands(n, width int, work func(from, to int)) {
	parts := runtime.GOMAXPROCS(0)
	if n*width < 1<<15 || parts < 2 {
		if n > 0 {
			work(0, n)
		}
		return
	}
	var all sync.WaitGroup
	for i := range parts {
		all.Go(func() { work(n*i/parts, n*(i+1)/parts) })
	}
	all.Wait()
}
