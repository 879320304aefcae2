package paper

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	_ "image/jpeg" // the format of thumbnails
	"io"

	"fettlebook/journal/record"
	"fettlebook/media"
	"fettlebook/media/thumb"
)

type (
	// Photos gives the pictures of a paper. None is media.ErrNotHere.
	Photos interface {
		Picture(ctx context.Context, p record.Photo) (jpeg []byte, err error)
	}

	// Thumbs keeps thumbnails, as a log does.
	Thumbs interface {
		Thumb(ctx context.Context, ref media.Ref) ([]byte, error)
	}

	// Originals keeps the photographs themselves.
	Originals interface {
		Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error)
	}

	// Small shows photographs as their thumbnails, which are wherever their entries
	// are.
	Small struct{ Thumbs }

	// Large shows photographs as sharp as a print can be, from the originals
	// that are here, and as thumbnails else. Where a photograph was taken is in
	// neither.
	Large struct {
		Originals Originals
		Thumbs    Thumbs
	}
)

// Unshown says, as a sentence, why a photograph that is here is not on a paper.
type Unshown struct{ Says string }

func (e *Unshown) Error() string { return e.Says }

// Picture implements [Photos].
func (s Small) Picture(ctx context.Context, p record.Photo) ([]byte, error) {
	return s.Thumb(ctx, p.Thumb)
}

// printed is the long side of a picture that is half as wide as a page: 300 dots an
// inch.
const printed = 1040

// Picture implements [Photos].
func (l Large) Picture(ctx context.Context, p record.Photo) ([]byte, error) {
	jpeg, err := l.large(ctx, p.Ref)
	var refused *media.Refused
	if errors.Is(err, media.ErrNotHere) || errors.As(err, &refused) {
		return l.Thumbs.Thumb(ctx, p.Thumb)
	}
	return jpeg, err
}

func (l Large) large(ctx context.Context, ref media.Ref) ([]byte, error) {
	in, _, err := l.Originals.Open(ctx, ref)
	if err != nil {
		return nil, fmt.Errorf("open the original: %w", err)
	}
	defer in.Close()
	is, err := media.Inspect(ctx, in, media.DefaultLimits())
	if err != nil {
		return nil, fmt.Errorf("read the original: %w", err)
	}
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		return nil, fmt.Errorf("read the original: %w", err)
	}
	made, err := thumb.Print(ctx, in, is, printed)
	if err != nil {
		return nil, fmt.Errorf("make a picture of the original: %w", err)
	}
	return made.Bytes, nil
}

// picture takes a photograph on a paper. One that is not to be had says why.
func picture(ctx context.Context, from Photos, p record.Photo, shows string, caption Text) (Picture, error) {
	is := Picture{Shows: shows, Caption: caption}
	if !p.Withdrawn.IsZero() {
		is.Missing = "This photograph was withdrawn. Its picture is deleted; its hash stays in the record."
		return is, nil
	}
	jpeg, err := from.Picture(ctx, p)
	if errors.Is(err, media.ErrNotHere) {
		is.Missing = "The picture is not on this machine."
		return is, nil
	}
	var unshown *Unshown
	if errors.As(err, &unshown) {
		is.Missing = unshown.Says
		return is, nil
	}
	if err != nil {
		return is, fmt.Errorf("photograph %s: %w", p.Ref, err)
	}
	// A thumbnail is what a tablet sent under its hash, whatever that is.
	size, format, err := image.DecodeConfig(bytes.NewReader(jpeg))
	plain := size.ColorModel == color.YCbCrModel || size.ColorModel == color.GrayModel // what print takes
	if err != nil || format != "jpeg" || !plain || min(size.Width, size.Height) < 1 || max(size.Width, size.Height) > printed {
		is.Missing = "The picture cannot be made out."
		return is, nil
	}
	is.JPEG, is.Width, is.Height = jpeg, size.Width, size.Height
	return is, nil
}
