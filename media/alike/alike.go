package alike

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"

	"fettlebook/media"
)

const (
	// whole is the most pixels of a picture that is decoded pixel by pixel, which
	// takes up to sixteen bytes for each.
	whole = 4e6

	// fine is the most pixels of a JPEG that is decoded so although its blocks
	// can be read: of small pictures there are too few blocks.
	fine = 640 * 480

	// narrow is the fewest pixels of a thumbnail's short side, if it is smaller
	// than the picture: two for each square.
	narrow = 2 * side

	// thumbBytes and thumbPixels cap a thumbnail: twice what media/thumb makes.
	thumbBytes  = 128 << 10
	thumbPixels = 640 * 640

	// mostWork caps what is done for all pictures that a Looker is shown, in
	// pixels once gone over: some minutes on a slow machine. Ten thousand
	// photographs as cameras write them stay far below.
	mostWork = 20e9
)

var (
	// ErrPicture is wrapped when the copy cannot be read as a picture.
	ErrPicture = errors.New("this cannot be read as a picture")

	// ErrThumb is wrapped when the thumbnail cannot be read as one.
	ErrThumb = errors.New("this thumbnail cannot be read")

	// ErrKind is wrapped when the copy is of a kind that is not compared: looking
	// at it would take too much, or too little of it is in the thumbnail.
	ErrKind = errors.New("a picture of this kind is not compared")
)

// Looker looks at pictures. However many it is shown, its work is bounded; what
// goes beyond that is [ErrKind].
type Looker struct{ work float64 }

// Sight is what was seen of a picture.
type Sight struct {
	width, height int
	squares       squares
}

// Thumb looks at a thumbnail, which is upright. The errors are [ErrThumb],
// [ErrKind] and those of ctx.
func (l *Looker) Thumb(ctx context.Context, raw []byte) (Sight, error) {
	p, err := l.ofPixels(ctx, raw, media.Limits{Bytes: thumbBytes, Pixels: thumbPixels})
	if err != nil {
		return Sight{}, wrong(ErrThumb, err)
	}
	return p.sight(), context.Cause(ctx)
}

// Copy looks at the copy of a photograph, turned as it says itself. The errors
// are [ErrPicture], [ErrKind] and those of ctx.
func (l *Looker) Copy(ctx context.Context, raw []byte) (Sight, error) {
	format, err := media.FormatOf(raw[:min(len(raw), media.HeadLen)])
	if err != nil {
		return Sight{}, wrong(ErrPicture, err)
	}
	orientation, plain := media.Turned(raw, format)
	if !plain {
		return Sight{}, fmt.Errorf("%w: it holds more notes than how it is to be turned", ErrPicture)
	}
	p, err := l.ofBlocks(raw, format)
	if errors.Is(err, errOtherKind) {
		p, err = l.ofPixels(ctx, raw, media.DefaultLimits())
	}
	if err != nil {
		return Sight{}, wrong(ErrPicture, err)
	}
	p.orientation = orientation
	return p.sight(), context.Cause(ctx)
}

// Like reports whether it shows what a thumbnail shows. The error is [ErrKind].
func (s Sight) Like(thumb Sight) (bool, error) {
	if min(thumb.width, thumb.height) < narrow && max(s.width, s.height) > max(thumb.width, thumb.height) {
		return false, fmt.Errorf("%w: its thumbnail has only %d by %d pixels", ErrKind, thumb.width, thumb.height)
	}
	return s.squares.like(&thumb.squares), nil
}

// take spends work.
func (l *Looker) take(work float64) error {
	if l.work += work; l.work > mostWork {
		return fmt.Errorf("%w: there are too many of them", ErrKind)
	}
	return nil
}

// ofBlocks reads a JPEG that is not small by its blocks.
func (l *Looker) ofBlocks(raw []byte, format media.Format) (*picture, error) {
	if format != media.JPEG {
		return nil, errOtherKind
	}
	p, err := means(raw)
	if err != nil {
		return nil, err
	}
	if p.width*p.height <= fine {
		return nil, errOtherKind
	}
	return p, l.take(float64(p.width*p.height) / 16)
}

// ofPixels decodes a picture, if that costs little.
func (l *Looker) ofPixels(ctx context.Context, raw []byte, limits media.Limits) (*picture, error) {
	is, err := media.Inspect(ctx, bytes.NewReader(raw), limits)
	if err != nil {
		return nil, err
	}
	if is.Width*is.Height > whole {
		return nil, fmt.Errorf("%w: it has %d by %d pixels", ErrKind, is.Width, is.Height)
	}
	passes := 1
	if is.Format == media.JPEG {
		passes += bytes.Count(raw, []byte{0xff, mSOS})
	}
	if err := l.take(float64(is.Width * is.Height * passes)); err != nil {
		return nil, err
	}
	return decoded(raw, is.Format)
}

// wrong wraps what a picture is refused for; what is no fault of it stays.
func wrong(as, err error) error {
	if errors.Is(err, ErrKind) || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return fmt.Errorf("%w: %w", as, err)
}

// like is whether two pictures are the same within what encoding and making
// smaller change. How far they may differ goes by how much there is to be seen:
// two dark pictures differ by little.
func (s *squares) like(thumb *squares) bool {
	for i, limit := range [...]struct{ least, most, part float64 }{{3, 12, 0.35}, {4, 10, 0.5}, {4, 10, 0.5}} {
		var sum, square, apart float64
		for at := range thumb[i] {
			v, w := float64(thumb[i][at]), float64(s[i][at])
			sum, square, apart = sum+v, square+v*v, apart+(v-w)*(v-w)
		}
		const n = side * side
		spread := math.Sqrt(max(0, square/n-(sum/n)*(sum/n)))
		if math.Sqrt(apart/n) > min(limit.most, max(limit.least, limit.part*spread)) {
			return false
		}
	}
	return true
}
