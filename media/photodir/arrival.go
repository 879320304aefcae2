package photodir

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"fettlebook/media"
)

var (
	// ErrBadChunk says that a piece does not fit the photo that was offered.
	ErrBadChunk = errors.New("this piece does not fit the photograph that was offered")

	// ErrIncomplete says that pieces are still missing.
	ErrIncomplete = errors.New("pieces of this photograph are still missing")

	// ErrOtherPhoto says that all pieces came, and together are another photo
	// than the one offered. They have been thrown away.
	ErrOtherPhoto = errors.New("the pieces that came are not the photograph that was offered; send them all again")
)

// Missing lists, in ascending order, the pieces still to come of an original of
// size bytes. It is empty if the original is here, or all pieces are. A size that
// no original may have gives a [*media.Refused].
func (d *Dir) Missing(ctx context.Context, ref media.Ref, size int64) ([]int, error) {
	if err := d.allowed(size); err != nil {
		return nil, err
	}
	here, err := d.Has(ctx, ref)
	if err != nil || here {
		return nil, err
	}
	d.arrivals.RLock()
	defer d.arrivals.RUnlock()
	return d.missing(ref, size)
}

func (d *Dir) missing(ref media.Ref, size int64) ([]int, error) {
	dir := d.piecesOf(ref, size)
	var missing []int
	for i := range media.Chunks(size) {
		info, err := os.Stat(filepath.Join(dir, pieceName(i)))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, i)
		case err != nil:
			return nil, err
		case info.Size() != int64(media.ChunkLen(size, i)):
			missing = append(missing, i)
		}
	}
	return missing, nil
}

// PutChunk keeps piece index of an original of size bytes. When it returns, the
// piece is on the disk and need not be sent again. The same piece may come more
// than once; the latest counts. A piece of the wrong length, or one that there
// cannot be, gives [ErrBadChunk].
func (d *Dir) PutChunk(ctx context.Context, ref media.Ref, size int64, index int, data []byte) error {
	if err := d.allowed(size); err != nil {
		return err
	}
	if want := media.ChunkLen(size, index); want == 0 || len(data) != want {
		return fmt.Errorf("piece %d with %d bytes of a photo of %d bytes: %w", index, len(data), size, ErrBadChunk)
	}
	d.arrivals.RLock()
	defer d.arrivals.RUnlock()
	here, err := d.Has(ctx, ref)
	if err != nil || here {
		return err
	}
	dir := d.piecesOf(ref, size)
	if err := d.disk.MkdirAll(dir, dirPerm); err != nil {
		return fmt.Errorf("keep piece %d of photo %s: %w", index, ref, err)
	}
	return d.disk.WriteFile(filepath.Join(dir, pieceName(index)), data, filePerm)
}

// Finish puts the pieces together, passes them through [media.Receive] like any
// other photo, and keeps the result if it is the photo that was offered. It may
// be called again at any time, also when the original is here already.
//
// [ErrIncomplete] asks for more pieces. After [ErrOtherPhoto] or a
// [*media.Refused] the pieces are gone, since no more of them could help. After
// any other error they are kept.
func (d *Dir) Finish(ctx context.Context, ref media.Ref, size int64) (media.Photo, error) {
	if err := d.allowed(size); err != nil {
		return media.Photo{}, err
	}
	d.arrivals.Lock()
	defer d.arrivals.Unlock()
	here, err := d.Has(ctx, ref)
	if err != nil {
		return media.Photo{}, err
	}
	if here {
		return d.finished(ctx, ref)
	}
	missing, err := d.missing(ref, size)
	if err != nil {
		return media.Photo{}, err
	}
	if len(missing) > 0 {
		return media.Photo{}, fmt.Errorf("photo %s, %d of %d: %w", ref, len(missing), media.Chunks(size), ErrIncomplete)
	}
	photo, err := media.Receive(ctx, expecting{d, ref}, &assembly{dir: d.piecesOf(ref, size), n: media.Chunks(size)}, d.limits)
	var refused *media.Refused
	if err == nil || errors.Is(err, ErrOtherPhoto) || errors.As(err, &refused) {
		if discarded := d.discard(ref); discarded != nil {
			return media.Photo{}, errors.Join(err, discarded)
		}
	}
	return photo, err
}

// finished describes an original that is here, and clears away pieces that a
// crash just after its Commit left behind.
func (d *Dir) finished(ctx context.Context, ref media.Ref) (media.Photo, error) {
	f, _, err := d.Open(ctx, ref)
	if err != nil {
		return media.Photo{}, err
	}
	defer f.Close()
	photo, err := media.Inspect(ctx, f, d.limits)
	var refused *media.Refused
	if errors.As(err, &refused) || err == nil && photo.Ref != ref {
		return media.Photo{}, fmt.Errorf("photo %s: %w", ref, ErrDamaged)
	}
	if err != nil {
		return media.Photo{}, err
	}
	return photo, d.discard(ref)
}

// Discard throws away what has come of a photo, whatever size was offered.
func (d *Dir) Discard(ctx context.Context, ref media.Ref) error {
	if err := context.Cause(ctx); err != nil {
		return err
	}
	d.arrivals.Lock()
	defer d.arrivals.Unlock()
	return d.discard(ref)
}

// Drop throws away what has come of a photo of one size.
func (d *Dir) Drop(ctx context.Context, ref media.Ref, size int64) error {
	if err := context.Cause(ctx); err != nil {
		return err
	}
	d.arrivals.Lock()
	defer d.arrivals.Unlock()
	if err := os.RemoveAll(d.piecesOf(ref, size)); err != nil {
		return fmt.Errorf("throw away pieces of photo %s: %w", ref, err)
	}
	return nil
}

// DropOlder throws away what has come of photos of which no piece came since.
func (d *Dir) DropOlder(ctx context.Context, since time.Time) error {
	d.arrivals.Lock()
	defer d.arrivals.Unlock()
	entries, err := os.ReadDir(filepath.Join(d.root, pieces))
	if err != nil {
		return fmt.Errorf("look for old pieces: %w", err)
	}
	for _, e := range entries {
		if err := context.Cause(ctx); err != nil {
			return err
		}
		info, err := e.Info() // a folder changes with each piece that comes into it
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return fmt.Errorf("look for old pieces: %w", err)
		}
		if !info.ModTime().Before(since) {
			continue
		}
		if err := os.RemoveAll(filepath.Join(d.root, pieces, e.Name())); err != nil {
			return fmt.Errorf("throw away old pieces: %w", err)
		}
	}
	return nil
}

func (d *Dir) discard(ref media.Ref) error {
	entries, err := os.ReadDir(filepath.Join(d.root, pieces))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ref.Hex()+"-") {
			continue
		}
		// Pieces are not evidence: a crash may leave some of them, and the next
		// Discard or Finish takes those.
		if err := os.RemoveAll(filepath.Join(d.root, pieces, e.Name())); err != nil {
			return fmt.Errorf("throw away pieces of photo %s: %w", ref, err)
		}
	}
	return nil
}

// Chunk reads piece i of an original that is here, to send it on. A piece that
// the original does not have gives [ErrBadChunk].
func (d *Dir) Chunk(ctx context.Context, ref media.Ref, i int) ([]byte, error) {
	f, size, err := d.Open(ctx, ref)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	n := media.ChunkLen(size, i)
	if n == 0 {
		return nil, fmt.Errorf("piece %d of photo %s with %d bytes: %w", i, ref, size, ErrBadChunk)
	}
	if _, err := f.Seek(int64(i)*media.ChunkSize, io.SeekStart); err != nil {
		return nil, err
	}
	data := make([]byte, n)
	if _, err := io.ReadFull(f, data); err != nil {
		return nil, fmt.Errorf("read piece %d of photo %s: %w", i, ref, err)
	}
	return data, nil
}

// allowed refuses a size before anything is kept for it.
func (d *Dir) allowed(size int64) error { return d.limits.CheckBytes(size) }

// piecesOf holds the size too, so that a wrong size, offered by mistake or on
// purpose, cannot mix its pieces with those of the right one.
func (d *Dir) piecesOf(ref media.Ref, size int64) string {
	return filepath.Join(d.root, pieces, ref.Hex()+"-"+strconv.FormatInt(size, 10))
}

func pieceName(index int) string { return fmt.Sprintf("%06d", index) }

// sweepPieces clears away half-written pieces, and all pieces of photos that are
// here: a crash between the two last steps of Finish leaves them.
func (d *Dir) sweepPieces() error {
	entries, err := os.ReadDir(filepath.Join(d.root, pieces))
	if err != nil {
		return err
	}
	for _, e := range entries {
		digits, _, _ := strings.Cut(e.Name(), "-")
		ref, err := media.ParseHex(digits)
		if err != nil {
			continue
		}
		dir := filepath.Join(d.root, pieces, e.Name())
		sweep := d.disk.Sweep
		if _, err := os.Stat(d.path(ref)); err == nil {
			sweep = os.RemoveAll
		}
		if err := sweep(dir); err != nil {
			return fmt.Errorf("clear away pieces of photo %s: %w", ref, err)
		}
	}
	return nil
}

// expecting is the store for one photo only: bytes with another hash are not
// kept, not even under their own.
type expecting struct {
	*Dir
	want media.Ref
}

func (e expecting) Create(ctx context.Context) (media.Draft, error) {
	draft, err := e.Dir.Create(ctx)
	if err != nil {
		return nil, err
	}
	return expectingDraft{draft, e.want}, nil
}

type expectingDraft struct {
	media.Draft
	want media.Ref
}

func (d expectingDraft) Commit(ctx context.Context, ref media.Ref) error {
	if ref != d.want {
		return ErrOtherPhoto
	}
	return d.Draft.Commit(ctx, ref)
}

// assembly reads pieces 0 to n-1 as one stream, one open file at a time.
type assembly struct {
	dir  string
	next int
	n    int
	rest []byte
}

func (a *assembly) Read(p []byte) (int, error) {
	for len(a.rest) == 0 {
		if a.next == a.n {
			return 0, io.EOF
		}
		piece, err := os.ReadFile(filepath.Join(a.dir, pieceName(a.next)))
		if err != nil {
			return 0, err
		}
		a.rest, a.next = piece, a.next+1
	}
	n := copy(p, a.rest)
	a.rest = a.rest[n:]
	return n, nil
}
