package look

import "image"

// taps is the width of the second blur, as in the paper.
const taps = 9

// blur is the blur effect of a picture, and its mean step between neighbours.
// A picture without steps has no blur that could be told.
func blur(g *image.Gray) (effect, edges float64) {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	across, steps := along(w, h, func(x, y int) float64 { return float64(g.Pix[y*g.Stride+x]) })
	down, more := along(h, w, func(x, y int) float64 { return float64(g.Pix[x*g.Stride+y]) })
	return max(across, down), (steps + more) / 2
}

// along measures along lines of n pixels each. At the ends of a line the last
// pixel is repeated.
func along(n, lines int, at func(x, y int) float64) (effect, step float64) {
	if n < 2 {
		return 0, 0
	}
	var steps, lost float64
	soft := make([]float64, n)
	for y := range lines {
		var sum float64
		for k := -taps / 2; k <= taps/2; k++ {
			sum += at(min(max(k, 0), n-1), y)
		}
		for x := range n {
			soft[x] = sum / taps
			sum += at(min(x+taps/2+1, n-1), y) - at(max(x-taps/2, 0), y)
		}
		for x := 1; x < n; x++ {
			sharp := abs(at(x, y) - at(x-1, y))
			steps += sharp
			lost += max(0, sharp-abs(soft[x]-soft[x-1]))
		}
	}
	if steps == 0 {
		return 0, 0
	}
	return (steps - lost) / steps, steps / float64((n-1)*lines)
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
