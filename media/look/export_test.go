package look

import (
	"bytes"
	"image"
	"testing"

	"github.com/gen2brain/jpegn"
)

// Grey gives the pixels that are measured.
func Grey(tb testing.TB, thumb []byte) (pixels []byte, w, h int) {
	tb.Helper()
	img, err := jpegn.Decode(bytes.NewReader(thumb))
	if err != nil {
		tb.Fatal(err)
	}
	g := greyOf(img)
	return g.Pix, g.Rect.Dx(), g.Rect.Dy()
}

// MeasureGrey measures pixels that need not have been a JPEG.
func MeasureGrey(pix []byte, w, h int) Picture {
	return measure(&image.Gray{Pix: pix, Stride: w, Rect: image.Rect(0, 0, w, h)})
}
