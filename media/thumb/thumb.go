// Package thumb makes the small picture of a photo that travels in the journal,
// and reads what the camera noted in it.
//
// A thumbnail is a JPEG, upright, at most [MaxSide] pixels on its long side and
// at most [MaxBytes] long, and carries nothing but the picture: no place, no
// time, no camera. It can be made again from the original at any time; [Version]
// tells what made it.
//
//	photo, err := media.Receive(ctx, originals, upload, media.DefaultLimits())
//	...
//	small, camera, err := thumb.FromOriginal(ctx, originals, photo)
//
// The same photo gives the same bytes on machines with the same kind of
// processor; across kinds, rounding in the decoder's vector code may differ.
package thumb

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"

	"github.com/disintegration/imaging"
	"github.com/gen2brain/jpegn"

	"fettlebook/media"
)

const (
	// Version names the way in which this package makes thumbnails: decoder,
	// filter, sizes, qualities. It rises when any of them changes.
	Version = 1

	// MaxSide is the most pixels on the long side.
	MaxSide = 480

	// MaxBytes is the longest thumbnail, so that some of them fit into one
	// network message with their entries.
	MaxBytes = 64 << 10
)

// A Thumb is a finished thumbnail.
type Thumb struct {
	Bytes   []byte    // a JPEG
	Ref     media.Ref // hash of Bytes
	Width   int       // pixels, upright
	Height  int
	Version int // what made it
}

// FromOriginal makes the thumbnail of a stored photo and reads its camera notes.
func FromOriginal(ctx context.Context, store media.Originals, p media.Photo) (Thumb, CameraInfo, error) {
	f, _, err := store.Open(ctx, p.Ref)
	if err != nil {
		return Thumb{}, CameraInfo{}, fmt.Errorf("open original: %w", err)
	}
	defer f.Close()
	info, err := Camera(f, p.Format)
	if err != nil {
		return Thumb{}, CameraInfo{}, err
	}
	t, err := makeThumb(ctx, f, p, info.Orientation)
	if err != nil {
		return Thumb{}, CameraInfo{}, err
	}
	return t, info, nil
}

// Make makes the thumbnail of the photo whose original r reads; p is what
// [media.Receive] found out about it. A photo that the gate let in and that
// the decoder cannot make out is an error.
//
// Memory per call: the original's bytes, and for each of its pixels about a third
// of a byte for a usual large JPEG, which is decoded at a part of its size. What
// cannot be decoded in part costs more: 6 to 16 bytes for a progressive JPEG, 5
// for a PNG, 9 for a PNG with 16 bits a channel. Let only few of these run at once.
func Make(ctx context.Context, r io.ReadSeeker, p media.Photo) (Thumb, error) {
	info, err := Camera(r, p.Format)
	if err != nil {
		return Thumb{}, err
	}
	return makeThumb(ctx, r, p, info.Orientation)
}

func makeThumb(ctx context.Context, r io.ReadSeeker, p media.Photo, o Orientation) (Thumb, error) {
	if err := context.Cause(ctx); err != nil {
		return Thumb{}, err
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return Thumb{}, fmt.Errorf("read original: %w", err)
	}
	upright, err := shrink(ctx, r, p, o, MaxSide)
	if err != nil {
		return Thumb{}, err
	}
	return encode(upright)
}

// shrink gives the picture upright, with at most so many pixels on its long side.
func shrink(ctx context.Context, r io.Reader, p media.Photo, o Orientation, side int) (*image.NRGBA, error) {
	full, err := decode(r, p, side)
	if err != nil {
		return nil, fmt.Errorf("decode photo %s: %w", p.Ref, err)
	}
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	// Turning comes last, when there are few pixels left to turn.
	width, height := fit(p.Width, p.Height, side)
	return turn(onWhite(imaging.Resize(full, width, height, imaging.Lanczos)), o), nil
}

// decode gives the picture as stored, not smaller than it will be.
func decode(r io.Reader, p media.Photo, side int) (image.Image, error) {
	if p.Memory() > media.MaxMemory {
		return nil, media.TooHeavy(p)
	}
	var img image.Image
	var err error
	switch p.Format {
	case media.JPEG:
		img, err = jpegn.Decode(sized{r, p.Bytes}, &jpegn.Options{ScaleDenom: scale(p, side)})
	case media.PNG:
		img, err = png.Decode(r)
	default:
		return nil, fmt.Errorf("%v is not a format of a photo", p.Format)
	}
	if err != nil {
		return nil, err
	}
	if img.Bounds().Empty() {
		return nil, errors.New("there is no picture in it")
	}
	return img, nil
}

// scale is the largest denominator at which the decoder still gives half as many
// pixels again on each side as the small picture has: dividing in the decoder is
// nearly free, and the filter behind it needs something to choose from.
func scale(p media.Photo, side int) int {
	for _, denom := range []int{8, 4, 2} {
		if max(p.Width, p.Height)/denom >= side*3/2 {
			return denom
		}
	}
	return 1
}

// fit gives the size with a long side of at most most. Nothing is enlarged, and
// no side vanishes.
func fit(width, height, most int) (w, h int) {
	long := max(width, height)
	if long <= most {
		return width, height
	}
	shrink := func(side int) int { return max(1, (side*most+long/2)/long) }
	return shrink(width), shrink(height)
}

// onWhite lays a picture with transparent parts on white paper.
func onWhite(img *image.NRGBA) *image.NRGBA {
	if img.Opaque() {
		return img
	}
	paper := imaging.New(img.Rect.Dx(), img.Rect.Dy(), color.White)
	return imaging.Overlay(paper, img, image.Point{}, 1)
}

// turn follows the table at the Exif tag Orientation; imaging turns to the left.
func turn(img *image.NRGBA, o Orientation) *image.NRGBA {
	switch o {
	case 2:
		return imaging.FlipH(img)
	case 3:
		return imaging.Rotate180(img)
	case 4:
		return imaging.FlipV(img)
	case 5:
		return imaging.Transpose(img)
	case 6:
		return imaging.Rotate270(img)
	case 7:
		return imaging.Transverse(img)
	case 8:
		return imaging.Rotate90(img)
	default:
		return img
	}
}

// encode lowers the quality until the thumbnail fits, and if even the lowest is
// too long, which takes a picture of pure noise, the size.
func encode(img *image.NRGBA) (Thumb, error) {
	for {
		for _, quality := range []int{82, 74, 64, 52, 40} {
			var b bytes.Buffer
			if err := jpegn.Encode(&b, img, &jpegn.EncodeOptions{Quality: quality, OptimizeCoding: true}); err != nil {
				return Thumb{}, fmt.Errorf("encode thumbnail: %w", err)
			}
			if b.Len() <= MaxBytes {
				size := img.Bounds()
				return Thumb{b.Bytes(), media.RefOf(b.Bytes()), size.Dx(), size.Dy(), Version}, nil
			}
		}
		long := max(img.Rect.Dx(), img.Rect.Dy())
		w, h := fit(img.Rect.Dx(), img.Rect.Dy(), long*3/4)
		img = imaging.Resize(img, w, h, imaging.Lanczos)
	}
}

// sized tells the decoder how much is coming, so that it makes room once.
type sized struct {
	io.Reader
	bytes int64
}

func (s sized) Len() int { return int(s.bytes) }
