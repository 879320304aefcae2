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

	"fettlebook/media"
)

// Picture is what was measured of a thumbnail.
type Picture struct {
	// Blur is from 0, sharp, to 1, nothing but blur; see [Measure]. It is 0 for a
	// picture that is the same all over.
	Blur float64

	// Edges is the mean step from one pixel to the next, of 0 to 255. Where
	// there is next to none, nothing can be said of blur.
	Edges float64

	// Dark and Bright are the shares of pixels that are nearly black or white,
	// Mean the mean brightness, of 0 to 255.
	Dark, Bright, Mean float64

	Print Fingerprint // of what it shows
}

// What counts as nearly black and nearly white, of 0 to 255: in an 8-bit
// picture detail below and above is lost in noise and in clipping.
const (
	black = 24
	white = 250
)

// A thumbnail is a few dozen kilobytes with 480 pixels on its long side. Twice
// that and more is not a thumbnail, and would cost more than milliseconds.
const (
	maxSide  = 1024
	maxBytes = 1 << 20
)

// ErrPicture is wrapped when the bytes are not a picture that can be judged.
var ErrPicture = errors.New("this is not a thumbnail that can be judged")

// Measure measures a JPEG thumbnail. Blur follows Crete, Dolmiere, Ladret and
// Nicolas, "The Blur Effect: Perception and Estimation with a New No-Reference
// Perceptual Blur Metric" (2007): the picture is blurred once more, over nine
// pixels; of a sharp one that takes away most of the steps between neighbours,
// of a blurred one few. The worse of across and down counts.
//
// Of a blur wider than a dozen pixels of the thumbnail, little more is left than
// stairs one grey step high, and those count as sharp: Blur falls again.
//
// Bytes that are not a thumbnail give [ErrPicture]; the other errors are those of
// ctx.
func Measure(ctx context.Context, thumb []byte) (Picture, error) {
	// The gate first: it also bounds the passes that the decoder makes.
	photo, err := media.Inspect(ctx, bytes.NewReader(thumb), media.Limits{Bytes: maxBytes, Pixels: maxSide * maxSide})
	switch {
	case errors.As(err, new(*media.Refused)):
		return Picture{}, fmt.Errorf("%w: %w", ErrPicture, err)
	case err != nil:
		return Picture{}, err
	case photo.Format != media.JPEG:
		return Picture{}, fmt.Errorf("%w: it is a %v", ErrPicture, photo.Format)
	case max(photo.Width, photo.Height) > maxSide:
		return Picture{}, fmt.Errorf("%w: it has %d by %d pixels", ErrPicture, photo.Width, photo.Height)
	}
	img, err := jpegn.Decode(bytes.NewReader(thumb))
	if err != nil {
		return Picture{}, fmt.Errorf("%w: %w", ErrPicture, err)
	}
	if img.Bounds().Empty() {
		return Picture{}, fmt.Errorf("%w: there is no picture in it", ErrPicture)
	}
	if err := context.Cause(ctx); err != nil {
		return Picture{}, err
	}
	return measure(greyOf(img)), nil
}

// greyOf is the brightness of a picture. A JPEG in colour holds it as a plane of
// its own, luma by ITU-R BT.601 (JFIF, ITU-T T.871, 7); that plane is taken as
// it is.
func greyOf(img image.Image) *image.Gray {
	size := img.Bounds().Size()
	grey := image.NewGray(image.Rectangle{Max: size})
	if colour, ok := img.(*image.YCbCr); ok {
		for y := range size.Y {
			from := colour.YOffset(colour.Rect.Min.X, colour.Rect.Min.Y+y)
			copy(grey.Pix[y*grey.Stride:], colour.Y[from:from+size.X])
		}
		return grey
	}
	draw.Draw(grey, grey.Rect, img, img.Bounds().Min, draw.Src)
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
