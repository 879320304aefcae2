package look

import "image"

// taps is the width of the second blur, as in the paper.
const taps = 9

// blur is the blur effect of a picture, and its mean step between neighbours.
// A picture without steps has no blur that could be told.
func blur(g *image.Gray) (effect, edges float64) {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	across, steps := along(g.Pix, w, h, 1, g.Stride)
	down, more := along(g.Pix, h, w, g.Stride, 1)
	return max(across, down), (steps + more) / 2
}

// along measures along lines of n pixels: step is how far apart two neighbours
// of a line lie in pix, jump how far apart two lines. At the ends of a line the
// last pixel is repeated.
//
// The second blur is a mean over taps pixels, so its step from one place to the
// next is what enters at one end less what leaves at the other, divided by
// taps. Everything but the last division is done in whole numbers.
func along(pix []uint8, n, lines, step, jump int) (effect, mean float64) {
	var sharp, lost int
	for line := range lines {
		at := func(i int) int { return int(pix[line*jump+i*step]) }
		for i := 1; i < n; i++ {
			before := abs(at(i) - at(i-1))
			after := abs(at(min(i+taps/2, n-1)) - at(max(i-taps/2-1, 0)))
			sharp += before
			lost += max(0, taps*before-after)
		}
	}
	if sharp == 0 {
		return 0, 0
	}
	return 1 - float64(lost)/float64(taps*sharp), float64(sharp) / float64((n-1)*lines)
}

func abs(v int) int {
	if v < 0 {
		return -v
	}
	return v
}
