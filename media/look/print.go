package look

import (
	"image"
	"math/bits"
)

// Fingerprint tells whether two pictures show the same: a difference hash. The
// picture is averaged down to nine by eight squares; each bit says whether a
// square is darker than its right neighbour, row by row, the first bit highest.
// It stays nearly the same when a picture is encoded anew or a little brighter.
type Fingerprint uint64

// Distance is the number of bits in which two fingerprints differ, 0 to 64.
func (f Fingerprint) Distance(g Fingerprint) int { return bits.OnesCount64(uint64(f ^ g)) }

const (
	squaresAcross = 9
	squaresDown   = 8
)

func print(g *image.Gray) (f Fingerprint) {
	for row := range squaresDown {
		left := mean(g, 0, row)
		for column := 1; column < squaresAcross; column++ {
			right := mean(g, column, row)
			f <<= 1
			if left < right {
				f |= 1
			}
			left = right
		}
	}
	return f
}

// mean is the mean brightness of a square; squares of a small picture have at
// least one pixel.
func mean(g *image.Gray, column, row int) float64 {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	x0, y0 := column*w/squaresAcross, row*h/squaresDown
	x1, y1 := max((column+1)*w/squaresAcross, x0+1), max((row+1)*h/squaresDown, y0+1)
	var sum int
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			sum += int(g.Pix[y*g.Stride+x])
		}
	}
	return float64(sum) / float64((x1-x0)*(y1-y0))
}
