// Package look judges a photograph at once, so that it can be taken again
// while the bore is still visible. It warns; it never refuses: a blurred
// picture is better evidence than none.
//
// It looks at the thumbnail, which costs milliseconds on a weak tablet. So it
// finds what can be seen at that size: a blur of a few pixels in a picture of
// twelve megapixels is not, and does not matter for what the picture proves.
//
//	p, err := look.Measure(ctx, small.Bytes)
//	for _, f := range look.Judge(p, look.Circumstances{Camera: photo.Taken, Now: now, Began: opened}, look.DefaultLimits()) {
//		fmt.Println(f.Say)
//	}
package look

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"

	"github.com/gen2brain/jpegn"
)

// Picture is what was measured of a thumbnail.
type Picture struct {
	// Blur is from 0, sharp, to 1, nothing but blur; see [Measure].
	Blur float64
	// Edges is the mean step from one pixel to the next, of 0 to 255. Where
	// there is next to none, nothing can be said of blur.
	Edges float64
	// Dark and Bright are the shares of pixels that are nearly black or white,
	// Mean the mean brightness, of 0 to 255.
	Dark, Bright, Mean float64
	Print              Fingerprint
}

// What counts as nearly black and nearly white, of 0 to 255: in an 8-bit
// picture detail below and above is lost in noise and in clipping.
const (
	black = 24
	white = 250
)

// maxSide is the most pixels on a side that are looked at; thumbnails have
// fewer.
const maxSide = 1024

// ErrPicture is wrapped when the bytes are no picture that can be judged.
var ErrPicture = errors.New("this is no thumbnail that can be judged")

// Measure measures a JPEG thumbnail. Blur follows Crete, Dolmiere, Ladret and
// Nicolas, "The Blur Effect: Perception and Estimation with a New No-Reference
// Perceptual Blur Metric" (2007): the picture is blurred once more, over nine
// pixels; of a sharp one that takes away most of the steps between neighbours,
// of a blurred one few.
func Measure(ctx context.Context, thumb []byte) (Picture, error) {
	if err := context.Cause(ctx); err != nil {
		return Picture{}, err
	}
	size, err := jpegn.DecodeConfig(bytes.NewReader(thumb))
	if err != nil {
		return Picture{}, fmt.Errorf("%w: %w", ErrPicture, err)
	}
	if size.Width < 1 || size.Height < 1 || size.Width > maxSide || size.Height > maxSide {
		return Picture{}, fmt.Errorf("%w: it has %d by %d pixels", ErrPicture, size.Width, size.Height)
	}
	img, err := jpegn.Decode(bytes.NewReader(thumb))
	if err != nil {
		return Picture{}, fmt.Errorf("%w: %w", ErrPicture, err)
	}
	if img.Bounds().Empty() {
		return Picture{}, fmt.Errorf("%w: there is no picture in it", ErrPicture)
	}
	return measure(greyOf(img)), nil
}

// greyOf is the brightness of a picture (ITU-R BT.601 luma, as image/color
// has it).
func greyOf(img image.Image) *image.Gray {
	grey := image.NewGray(image.Rect(0, 0, img.Bounds().Dx(), img.Bounds().Dy()))
	draw.Draw(grey, grey.Bounds(), img, img.Bounds().Min, draw.Src)
	return grey
}

func measure(g *image.Gray) Picture {
	p := Picture{Print: print(g)}
	p.Blur, p.Edges = blur(g)
	var sum, dark, bright float64
	for _, v := range g.Pix {
		sum += float64(v)
		if v < black {
			dark++
		}
		if v > white {
			bright++
		}
	}
	n := float64(len(g.Pix))
	p.Dark, p.Bright, p.Mean = dark/n, bright/n, sum/n
	return p
}
