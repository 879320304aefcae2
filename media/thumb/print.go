package thumb

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"github.com/gen2brain/jpegn"

	"fettlebook/media"
)

// Print makes a picture for a paper out of an original: a JPEG as a thumbnail is,
// upright and with nothing in it but the picture, but with up to side pixels on its
// long side and as many bytes as that takes. Memory is that of [Make].
func Print(ctx context.Context, r io.ReadSeeker, p media.Photo, side int) (Thumb, error) {
	info, err := Camera(r, p.Format)
	if err != nil {
		return Thumb{}, err
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return Thumb{}, fmt.Errorf("read original: %w", err)
	}
	img, err := shrink(ctx, r, p, info.Orientation, side)
	if err != nil {
		return Thumb{}, err
	}
	var b bytes.Buffer
	if err := jpegn.Encode(&b, img, &jpegn.EncodeOptions{Quality: 84, OptimizeCoding: true}); err != nil {
		return Thumb{}, fmt.Errorf("encode picture: %w", err)
	}
	size := img.Bounds()
	return Thumb{b.Bytes(), media.RefOf(b.Bytes()), size.Dx(), size.Dy(), Version}, nil
}
