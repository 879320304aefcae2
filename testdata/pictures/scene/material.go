package scene

import (
	"math"
	"math/rand/v2"
)

// material is how a surface answers the lamp.
type material struct {
	base  rgb
	spot  rgb     // second colour, in flecks
	spots float32 // how much of the surface the flecks take, 0 to 1
	shine float32 // strength of the glint
	gloss int     // sharpness of the glint: it is raised to the power 2^gloss
	rough float32 // how strongly the grain of the surface catches the light
	metal float32 // how much it mirrors the room instead of keeping its own shade
}

func (m material) darker(k float32) material {
	m.base, m.spot, m.shine = m.base.times(k), m.spot.times(k), m.shine*k
	return m
}

func rusty() material {
	return material{base: hex(0x5b3d2c), spot: hex(0xa65a2a), spots: 0.52, shine: 0.05, gloss: 3, rough: 1.1}
}
func bareIron() material {
	return material{base: hex(0x85817a), spot: hex(0x5f5a54), spots: 0.35, shine: 0.18, gloss: 3, rough: 0.7, metal: 0.25}
}
func blasted() material {
	return material{base: hex(0xa3a5a6), spot: hex(0x999b9c), spots: 0.4, shine: 0.05, gloss: 2, rough: 0.75}
}
func steel() material {
	return material{base: hex(0xb4b6b9), spot: hex(0xa2a4a8), spots: 0.3, shine: 0.7, gloss: 5, rough: 0.12, metal: 0.7}
}
func chrome() material {
	return material{base: hex(0xc4c8cc), shine: 1, gloss: 6, rough: 0.03, metal: 1}
}
func zinc() material {
	return material{base: hex(0xc2b386), spot: hex(0xa79a78), spots: 0.4, shine: 0.6, gloss: 4, rough: 0.15, metal: 0.6}
}
func copper() material {
	return material{base: hex(0xcb7443), spot: hex(0xb9602f), spots: 0.2, shine: 0.8, gloss: 5, rough: 0.1, metal: 0.65}
}
func rubber() material {
	return material{base: hex(0x26272a), spot: hex(0x303134), spots: 0.3, shine: 0.10, gloss: 3, rough: 0.25}
}
func plastic(c rgb) material { return material{base: c, shine: 0.25, gloss: 4, rough: 0.08} }

// silicone is the bright stuff of masking plugs.
func silicone() material { return material{base: hex(0x1c8fdb), shine: 0.35, gloss: 4, rough: 0.05} }

// dusted is powder before the bake: matt, pale, like flour.
func dusted(c rgb) material {
	return material{base: c.mix(rgb{1, 0.98, 0.95}, 0.07), spot: c, spots: 0.35, rough: 0.55}
}

// cured is powder after the bake: smooth, with the fine waves that powder flows out to.
func cured(c rgb) material { return material{base: c, shine: 0.55, gloss: 5, rough: 0.14, metal: 0.12} }

// texture is a square of random values, -1 to 1, that repeats without a seam.
type texture struct{ v []float32 }

const tile = 512 // side of a texture, pixels; a power of two

func (t texture) at(x, y int) float32 { return t.v[(y&(tile-1))*tile+x&(tile-1)] }

// fineGrain has no pattern larger than a pixel or two.
func fineGrain(r *rand.Rand) texture {
	raw := make([]float32, tile*tile)
	for i := range raw {
		raw[i] = r.Float32()*2 - 1
	}
	v := make([]float32, tile*tile)
	for i := range v {
		v[i] = 0.4*raw[i] + 0.35*raw[(i+1)%len(raw)] + 0.35*raw[(i+tile)%len(raw)]
	}
	return texture{v}
}

// clouds adds up random lattices from coarse to fine, each half as strong as the one before.
func clouds(r *rand.Rand) texture {
	v := make([]float32, tile*tile)
	amp := float32(0.75)
	for n := 4; n <= 128; n *= 2 {
		lattice := make([]float32, n*n)
		for i := range lattice {
			lattice[i] = (r.Float32()*2 - 1) * amp
		}
		cell := tile / n
		for y := range tile {
			y0, fy := y/cell, ease(float32(y%cell)/float32(cell))
			top, low := lattice[y0*n:], lattice[(y0+1)%n*n:]
			for x := range tile {
				x0, fx := x/cell, ease(float32(x%cell)/float32(cell))
				x1 := (x0 + 1) & (n - 1)
				a := top[x0] + (top[x1]-top[x0])*fx
				b := low[x0] + (low[x1]-low[x0])*fx
				v[y*tile+x] += a + (b-a)*fy
			}
		}
		amp /= 1.7
	}
	return texture{v}
}

func ease(t float32) float32 { return t * t * (3 - 2*t) }

func clamp(v float32) float32 { return min(max(v, 0), 1) }

// shade lights a body whose outline is the stencil and whose edge is rounded over bevel pixels. With rise below zero
// the body is hollow.
func (c *canvas) shade(s stencil, m material, bevel, rise float64) {
	if len(s.a) == 0 {
		return
	}
	h := c.blurred(s, bevel)
	k := float32(max(bevel, 1)*rise) * 0.5
	for i, v := range h.a {
		switch t := v*2 - 1; {
		case t <= 0:
			h.a[i] = 0
		case t >= 1:
			h.a[i] = k
		default:
			h.a[i] = float32(math.Sqrt(float64(t*(2-t)))) * k
		}
	}
	last := len(h.a) - 1
	c.each(s, func(i, x, y int, a float32) {
		j := (y-s.y)*s.w + x - s.x
		gx := h.a[min(j+1, last)] - h.a[max(j-1, 0)]
		gy := h.a[min(j+s.w, last)] - h.a[max(j-s.w, 0)]
		c.pix[i] = c.pix[i].mix(c.lit(&m, gx, gy, x, y), a)
	})
}

// lit is the light from a surface that climbs by gx and gy per pixel.
func (c *canvas) lit(m *material, gx, gy float32, x, y int) rgb {
	if m.rough > 0 {
		f, g := c.fine.at(x, y), c.cloud.at(x, y)
		gx += m.rough * (0.30*(c.fine.at(x+1, y)-f) + 1.2*(c.cloud.at(x+1, y)-g))
		gy += m.rough * (0.30*(c.fine.at(x, y+1)-f) + 1.2*(c.cloud.at(x, y+1)-g))
	}
	inv := 1 / float32(math.Sqrt(float64(gx*gx+gy*gy+1)))
	nx, ny := -gx*inv, -gy*inv
	base := m.base
	if m.spots > 0 {
		share := clamp((c.cloud.at(x*2+131, y*2+57)*0.8 + c.fine.at(x/2, y/2)*0.35 + m.spots*2 - 0.9) * 1.4)
		base = base.mix(m.spot, share)
	}
	diffuse := max(nx*c.light[0]+ny*c.light[1]+inv*c.light[2], 0)
	shade := 0.30 + 0.95*diffuse
	if m.metal > 0 {
		room := 0.62 - 0.75*ny + 0.28*wave(ny*7+nx*4+c.cloud.at(x/3, y/3)*1.5+float32(y)*0.004)
		shade += (shade*0.5 + max(room, 0.06) - shade) * m.metal
	}
	out := base.times(shade)
	if m.shine > 0 {
		p := max(nx*c.half[0]+ny*c.half[1]+inv*c.half[2], 0)
		for range m.gloss {
			p *= p
		}
		p *= m.shine
		out = out.plus(rgb{p, p, p * 0.96})
	}
	return out
}

// wave is a sine drawn with parabolas: near enough for a mirrored room.
func wave(x float32) float32 {
	t := x / math.Pi
	half := float32(math.Floor(float64(t)))
	t -= half
	v := 4 * t * (1 - t)
	if int(half)&1 == 1 {
		return -v
	}
	return v
}
