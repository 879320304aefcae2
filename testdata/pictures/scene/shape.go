package scene

import "math"

// pt is a point in the drawing's own units: right and down are positive.
type pt struct{ x, y float64 }

// shape is a set of closed outlines. Outlines that run clockwise on the picture are filled, those that run the other
// way are holes.
type shape [][]pt

// affine places a shape on the picture: x' = a·x + c·y + e, y' = b·x + d·y + f.
type affine struct{ a, b, c, d, e, f float64 }

func (m affine) at(p pt) pt { return pt{m.a*p.x + m.c*p.y + m.e, m.b*p.x + m.d*p.y + m.f} }

// scale tells how many pixels one unit of the drawing takes.
func (m affine) scale() float64 { return math.Sqrt(math.Abs(m.a*m.d - m.b*m.c)) }

// then gives the placement that applies n first, and m to the outcome.
func (m affine) then(n affine) affine {
	o := m.at(pt{n.e, n.f})
	return affine{m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b, m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d, o.x, o.y}
}

// solid closes an outline and lets it run clockwise, whichever way it was written down.
func solid(ps ...pt) shape {
	area := 0.0
	for i, p := range ps {
		q := ps[(i+1)%len(ps)]
		area += p.x*q.y - q.x*p.y
	}
	if area < 0 {
		return shape{reversed(ps)}
	}
	return shape{ps}
}

func reversed(ps []pt) []pt {
	out := make([]pt, len(ps))
	for i, p := range ps {
		out[len(ps)-1-i] = p
	}
	return out
}

// and joins shapes into one.
func (s shape) and(more ...shape) shape {
	out := append(shape(nil), s...)
	for _, m := range more {
		out = append(out, m...)
	}
	return out
}

// less cuts holes into a shape.
func (s shape) less(holes ...shape) shape {
	out := append(shape(nil), s...)
	for _, h := range holes {
		for _, line := range h {
			out = append(out, reversed(line))
		}
	}
	return out
}

func box(x, y, w, h float64) shape {
	return solid(pt{x, y}, pt{x + w, y}, pt{x + w, y + h}, pt{x, y + h})
}

// rounded is a box with corners of radius r.
func rounded(x, y, w, h, r float64) shape {
	var ps []pt
	for i, c := range []pt{{x + w - r, y + r}, {x + w - r, y + h - r}, {x + r, y + h - r}, {x + r, y + r}} {
		ps = append(ps, arc(c.x, c.y, r, float64(i*90-90), float64(i*90), 10)...)
	}
	return solid(ps...)
}

// arc gives n+1 points on a circle from one angle to another, in degrees, clockwise from three o'clock.
func arc(x, y, r, from, to float64, n int) []pt {
	ps := make([]pt, 0, n+1)
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		ps = append(ps, pt{x + r*cos, y + r*sin})
	}
	return ps
}

func circle(x, y, r float64) shape { return solid(arc(x, y, r, 0, 355, 71)...) }

func oval(x, y, rx, ry float64) shape {
	ps := arc(0, 0, 1, 0, 355, 71)
	for i, p := range ps {
		ps[i] = pt{x + rx*p.x, y + ry*p.y}
	}
	return solid(ps...)
}

func ring(x, y, outer, inner float64) shape { return circle(x, y, outer).less(circle(x, y, inner)) }

// hexagon is the outline of a bolt head; r reaches to its corners.
func hexagon(x, y, r, turn float64) shape { return solid(arc(x, y, r, turn, turn+300, 5)...) }

// sector is a piece of a ring between two angles.
func sector(x, y, outer, inner, from, to float64) shape {
	return solid(append(arc(x, y, outer, from, to, 48), arc(x, y, inner, to, from, 48)...)...)
}

// blob is a closed smooth outline through the points.
func blob(ps ...pt) shape { return solid(smooth(ps, true)...) }

// curve is an open smooth line through the points.
func curve(ps ...pt) []pt { return smooth(ps, false) }

// smooth lays a Catmull-Rom spline through the points.
func smooth(ps []pt, closed bool) []pt {
	const steps = 10
	n := len(ps)
	get := func(i int) pt {
		if closed {
			return ps[(i+n)%n]
		}
		return ps[min(max(i, 0), n-1)]
	}
	spans := n - 1
	if closed {
		spans = n
	}
	var out []pt
	for i := range spans {
		p0, p1, p2, p3 := get(i-1), get(i), get(i+1), get(i+2)
		for k := range steps {
			t := float64(k) / steps
			mix := func(a, b, c, d float64) float64 {
				return 0.5 * (2*b + (c-a)*t + (2*a-5*b+4*c-d)*t*t + (3*b-3*c+d-a)*t*t*t)
			}
			out = append(out, pt{mix(p0.x, p1.x, p2.x, p3.x), mix(p0.y, p1.y, p2.y, p3.y)})
		}
	}
	if !closed {
		out = append(out, ps[n-1])
	}
	return out
}

// line is a line of a width with round ends, such as a tube or a wire.
func line(width float64, ps ...pt) shape {
	var out shape
	r := width / 2
	for i, p := range ps {
		out = append(out, arc(p.x, p.y, r, 0, 340, 17))
		if i == 0 {
			continue
		}
		q := ps[i-1]
		d := math.Hypot(p.x-q.x, p.y-q.y)
		if d == 0 {
			continue
		}
		nx, ny := -(p.y-q.y)/d*r, (p.x-q.x)/d*r
		out = append(out, solid(pt{q.x + nx, q.y + ny}, pt{p.x + nx, p.y + ny}, pt{p.x - nx, p.y - ny}, pt{q.x - nx, q.y - ny})...)
	}
	return out
}
