package media

import (
	"bufio"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
)

// readBuffer is the piece in which Receive reads, hashes and writes.
const readBuffer = 64 << 10

// Receive reads one picture from r, checks it, and keeps its original bytes in
// store. When it returns without an error the photo is on the disk.
//
// It reads no more than one byte past lim.Bytes (and a buffer's worth at the
// very start), and stops at the header if the picture has too many pixels. A
// picture that is not let in gives a [*Refused]; an error of r, of store or of
// ctx comes back wrapped. After any error nothing half-written is left in store.
//
// A photo that store already holds is stored once and is not an error.
func Receive(ctx context.Context, store Originals, r io.Reader, lim Limits) (Photo, error) {
	in := bufio.NewReaderSize(&source{ctx: ctx, r: r}, sniffLen)
	format, err := sniffAhead(in)
	if err != nil {
		return Photo{}, err
	}
	draft, err := store.Create(ctx)
	if err != nil {
		return Photo{}, fmt.Errorf("start storing a photo: %w", err)
	}
	photo, err := inspect(in, format, draft, lim.orDefault())
	if err == nil {
		if err = draft.Commit(ctx, photo.Ref); err != nil {
			err = fmt.Errorf("store photo %s: %w", photo.Ref, err)
		}
	}
	if err != nil {
		if aborted := draft.Abort(); aborted != nil {
			err = errors.Join(err, fmt.Errorf("throw away a photo that was not kept: %w", aborted))
		}
		return Photo{}, err
	}
	return photo, nil
}

// Inspect reads one picture to its end and tells what [Receive] would, with the
// same checks and the same errors, but keeps nothing. With it the Photo of an
// original that was let in long ago is found again.
func Inspect(ctx context.Context, r io.Reader, lim Limits) (Photo, error) {
	in := bufio.NewReaderSize(&source{ctx: ctx, r: r}, sniffLen)
	format, err := sniffAhead(in)
	if err != nil {
		return Photo{}, err
	}
	return inspect(in, format, io.Discard, lim.orDefault())
}

func sniffAhead(in *bufio.Reader) (Format, error) {
	head, err := in.Peek(sniffLen)
	if err != nil && !errors.Is(err, io.EOF) {
		return 0, err
	}
	return sniff(head)
}

// inspect walks over the picture in r while it is copied to w, then copies what
// stands behind the picture's end too: some cameras append a second, smaller
// picture or notes of their own there, and the original is kept whole.
func inspect(r io.Reader, format Format, w io.Writer, lim Limits) (Photo, error) {
	through := &passage{r: r, w: w, sum: sha256.New(), limit: lim.Bytes}
	in := bufio.NewReaderSize(through, readBuffer)

	walk := walkJPEG
	if format == PNG {
		walk = walkPNG
	}
	f, err := walk(in, lim.Pixels)
	if err == nil {
		_, err = io.Copy(io.Discard, in)
	}
	if err != nil {
		return Photo{}, err
	}
	photo := Photo{Bytes: through.n, Format: format, Width: f.width, Height: f.height, Progressive: f.progressive, PerPixel: f.perPixel}
	through.sum.Sum(photo.Ref[:0])
	return photo, nil
}

// source is the caller's stream. It ends with ctx, and marks its errors so that
// the end of the stream, which the walkers turn into Truncated, is io.EOF and
// nothing else.
type source struct {
	ctx context.Context
	r   io.Reader
}

func (s *source) Read(p []byte) (int, error) {
	if err := context.Cause(s.ctx); err != nil {
		return 0, fmt.Errorf("read photo: %w", err)
	}
	n, err := s.r.Read(p)
	if err != nil && err != io.EOF {
		err = fmt.Errorf("read photo: %w", err)
	}
	return n, err
}

// passage is where the bytes pass: each is counted, hashed and written.
type passage struct {
	r     io.Reader
	w     io.Writer
	sum   hash.Hash
	n     int64
	limit int64
}

func (t *passage) Read(p []byte) (int, error) {
	// One byte over the limit is asked for, to tell a file that just fits from
	// one that goes on.
	if room := t.limit - t.n + 1; int64(len(p)) > room {
		p = p[:room]
	}
	n, err := t.r.Read(p)
	t.n += int64(n)
	if t.n > t.limit {
		return 0, tooManyBytes(t.limit)
	}
	t.sum.Write(p[:n])
	if _, werr := t.w.Write(p[:n]); werr != nil {
		return 0, fmt.Errorf("store photo: %w", werr)
	}
	return n, err
}

// cut turns the end of the stream, met in the middle of a picture, into a
// refusal, and leaves every other error as it is.
func cut(err error, f Format) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return truncated(f)
	}
	return err
}

// checkSize refuses a picture that is too big before anything makes room for it.
func checkSize(width, height uint32, limit int64, f Format) error {
	switch {
	case width == 0 || height == 0:
		return damaged(f, "its header gives no size")
	case width > MaxSide || height > MaxSide || int64(width)*int64(height) > limit:
		return tooManyPixels(width, height, limit)
	default:
		return nil
	}
}
