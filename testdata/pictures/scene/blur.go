package scene

// blurred averages a stencil twice over a square, so that the edge fades over about r pixels each way.
func (c *canvas) blurred(s stencil, r float64) stencil {
	b := max(int(r/2+0.5), 1)
	out := stencil{s.x, s.y, s.w, s.h, make([]float32, len(s.a))}
	if len(s.a) == 0 {
		return out
	}
	if len(c.tmp) < len(s.a) {
		c.tmp = make([]float32, len(s.a))
	}
	tmp := c.tmp[:len(s.a)]
	from := s.a
	for range 2 {
		bands(s.h, s.w, func(y0, y1 int) { boxRows(tmp, from, s.w, y0, y1, b) })
		bands(s.w, s.h, func(x0, x1 int) { boxColumns(out.a, tmp, s.w, s.h, x0, x1, b) })
		from = out.a
	}
	return out
}

// boxRows averages each row from y0 to y1 over 2b+1 pixels.
func boxRows(dst, src []float32, w, y0, y1, b int) {
	inv := 1 / float32(2*b+1)
	for y := y0; y < y1; y++ {
		in, out := src[y*w:(y+1)*w], dst[y*w:(y+1)*w]
		var sum float32
		for x := range min(b, w) {
			sum += in[x]
		}
		for x := range w {
			if x+b < w {
				sum += in[x+b]
			}
			if x-b-1 >= 0 {
				sum -= in[x-b-1]
			}
			out[x] = sum * inv
		}
	}
}

// boxColumns averages each column from x0 to x1 over 2b+1 pixels, row by row as the memory lies.
func boxColumns(dst, src []float32, w, h, x0, x1, b int) {
	inv := 1 / float32(2*b+1)
	sum := make([]float32, x1-x0)
	for y := range min(b, h) {
		for x, v := range src[y*w+x0 : y*w+x1] {
			sum[x] += v
		}
	}
	for y := range h {
		if y+b < h {
			for x, v := range src[(y+b)*w+x0 : (y+b)*w+x1] {
				sum[x] += v
			}
		}
		if y-b-1 >= 0 {
			for x, v := range src[(y-b-1)*w+x0 : (y-b-1)*w+x1] {
				sum[x] -= v
			}
		}
		out := dst[y*w+x0 : y*w+x1]
		for x, v := range sum {
			out[x] = v * inv
		}
	}
}
