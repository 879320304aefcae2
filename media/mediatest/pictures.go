// Package mediatest holds what tests about photos share: pictures made from
// nothing, a store in memory, a store that fails on order, and the conformance
// suite that every [media.Originals] must pass. Only tests import it.
package mediatest

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"slices"
)

// Colours of the corners that [Corners] paints: far enough apart that JPEG cannot
// confuse them.
var (
	TopLeft     = color.NRGBA{R: 220, A: 255}
	TopRight    = color.NRGBA{G: 200, A: 255}
	BottomLeft  = color.NRGBA{B: 230, A: 255}
	BottomRight = color.NRGBA{R: 230, G: 220, A: 255}
)

// Corners is a grey picture with another colour in each corner, a third of the
// shorter side wide, so that each of the eight ways to turn and mirror it looks
// different.
func Corners(width, height int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, width, height))
	side := max(1, min(width, height)/3)
	for y := range height {
		for x := range width {
			c := color.NRGBA{R: 128, G: 128, B: 128, A: 255}
			left, right := x < side, x >= width-side
			top, bottom := y < side, y >= height-side
			switch {
			case top && left:
				c = TopLeft
			case top && right:
				c = TopRight
			case bottom && left:
				c = BottomLeft
			case bottom && right:
				c = BottomRight
			}
			img.SetNRGBA(x, y, c)
		}
	}
	return img
}

// Noise is a picture of random dots, the hardest there is to compress.
func Noise(width, height int, seed uint64) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, width, height))
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := 0; i < len(img.Pix); i += 4 {
		binary.LittleEndian.PutUint32(img.Pix[i:], rnd.Uint32()|0xff<<24)
	}
	return img
}

// Fields is a picture of four by three fields of random colours, so that two of
// them look different however small they are made.
func Fields(width, height int, seed uint64) *image.NRGBA {
	fields := Noise(4, 3, seed)
	img := image.NewNRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			img.SetNRGBA(x, y, fields.NRGBAAt(4*x/width, 3*y/height))
		}
	}
	return img
}

// Stored gives img as a camera held in that orientation stores it: the picture
// which, followed by a viewer according to the Exif tag Orientation, is img.
//
// The table is that of the tag Orientation (0x0112) in CIPA DC-008 (Exif 2.32),
// 4.6.4: it says where the stored row 0 and column 0 belong in the view.
//
//	1  row 0 top     column 0 left        5  row 0 left    column 0 top
//	2  row 0 top     column 0 right       6  row 0 right   column 0 top
//	3  row 0 bottom  column 0 right       7  row 0 right   column 0 bottom
//	4  row 0 bottom  column 0 left        8  row 0 left    column 0 bottom
func Stored(img image.Image, orientation int) *image.NRGBA {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	storedW, storedH := w, h
	if orientation >= 5 {
		storedW, storedH = h, w
	}
	out := image.NewNRGBA(image.Rect(0, 0, storedW, storedH))
	for row := range storedH {
		for col := range storedW {
			var x, y int
			switch orientation {
			case 1:
				x, y = col, row
			case 2:
				x, y = w-1-col, row
			case 3:
				x, y = w-1-col, h-1-row
			case 4:
				x, y = col, h-1-row
			case 5:
				x, y = row, col
			case 6:
				x, y = w-1-row, col
			case 7:
				x, y = w-1-row, h-1-col
			case 8:
				x, y = row, h-1-col
			}
			out.Set(col, row, img.At(img.Bounds().Min.X+x, img.Bounds().Min.Y+y))
		}
	}
	return out
}

// JPEG encodes img, with the standard library's encoder, and puts the raw Exif
// payload behind its first marker as cameras do; none if exif is empty.
func JPEG(img image.Image, quality int, exif []byte) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		panic(err) // writing to memory
	}
	if len(exif) == 0 {
		return b.Bytes()
	}
	app1 := []byte{0xff, 0xe1}
	app1 = binary.BigEndian.AppendUint16(app1, uint16(len(exif)+2))
	app1 = append(app1, exif...)
	return slices.Insert(b.Bytes(), 2, app1...)
}

// PNG encodes img, with the chunk eXIf behind its header if exif is not empty.
// The payload is that of [Exif]; PNG wants it without its first six bytes.
func PNG(img image.Image, exif []byte) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		panic(err) // writing to memory
	}
	if len(exif) == 0 {
		return b.Bytes()
	}
	const behindHeader = 8 + 12 + 13
	return slices.Insert(b.Bytes(), behindHeader, pngChunk("eXIf", exif[len(exifHeader):])...)
}

func pngChunk(kind string, data []byte) []byte {
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	chunk = append(chunk, kind...)
	chunk = append(chunk, data...)
	return binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
}

// HeaderJPEG is a complete little JPEG whose header claims to be width by height.
func HeaderJPEG(width, height uint16) []byte {
	b := JPEG(Corners(16, 16), 80, nil)
	frame := bytes.Index(b, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(b[frame+5:], height)
	binary.BigEndian.PutUint16(b[frame+7:], width)
	return b
}

// HeaderPNG is a complete little PNG whose header claims to be width by height.
func HeaderPNG(width, height uint32) []byte {
	b := PNG(Corners(16, 16), nil)
	header := b[8 : 8+12+13]
	claim := slices.Concat(binary.BigEndian.AppendUint32(nil, width), binary.BigEndian.AppendUint32(nil, height), header[16:21])
	copy(header, pngChunk("IHDR", claim))
	return b
}

// Difference is how far two pictures are apart in grey steps, on average over
// a grid of 8 by 8 fields.
func Difference(a, b image.Image) float64 {
	const grid = 8
	sum := 0.0
	for gy := range grid {
		for gx := range grid {
			sum += math.Abs(brightness(a, gx, gy, grid) - brightness(b, gx, gy, grid))
		}
	}
	return sum / (grid * grid)
}

func brightness(img image.Image, gx, gy, grid int) float64 {
	r := img.Bounds()
	sum, n := 0.0, 0
	stepX, stepY := max(1, r.Dx()/grid/40), max(1, r.Dy()/grid/40)
	for y := r.Dy() * gy / grid; y < max(r.Dy()*(gy+1)/grid, r.Dy()*gy/grid+1); y += stepY {
		for x := r.Dx() * gx / grid; x < max(r.Dx()*(gx+1)/grid, r.Dx()*gx/grid+1); x += stepX {
			sum += float64(color.GrayModel.Convert(img.At(r.Min.X+x, r.Min.Y+y)).(color.Gray).Y)
			n++
		}
	}
	return sum / float64(n)
}
