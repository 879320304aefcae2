// Package photodir keeps original photos as files in one folder, each under the
// hash of its bytes:
//
//	root/ab/ab12…        an original; the name is its Ref in hexadecimal
//	root/arriving/.new-* an original on its way in, from a camera or a form
//	root/pieces/ab12…-N/ pieces of an original of N bytes that comes over the network
//
// Whatever stands under an original's name is complete and on the disk, at any
// instant and after any power cut. The folder can be copied, listed and checked
// with ordinary tools: every name is what sha256sum prints for the file.
//
//	dir, err := photodir.Open(filepath.Join(data, "photos"))
//	photo, err := media.Receive(ctx, dir, upload, media.DefaultLimits())
package photodir

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path/filepath"
	"sync"

	"fettlebook/media"
	"fettlebook/media/durable"
	"fettlebook/media/until"
)

// ErrDamaged says that the bytes under a Ref no longer have its hash. Storing
// the same photo again puts it right.
var ErrDamaged = errors.New("the original of this photograph is damaged on this disk; fetch it again from another machine or a backup")

const (
	dirPerm  fs.FileMode = 0o700 // photos of customers' property
	filePerm fs.FileMode = 0o600

	arriving = "arriving"
	pieces   = "pieces"
)

var _ media.Originals = (*Dir)(nil)

// A Dir is one folder of originals. It may be used by several goroutines, but by
// one process at a time.
type Dir struct {
	root   string
	limits media.Limits // for photos that arrive in pieces
	disk   durable.Disk

	archives []archive // in which originals of this folder lie too

	// arrivals keeps the pieces of a photo in place while they are read
	// together: PutChunk shares it, Finish and Discard hold it alone.
	arrivals sync.RWMutex
}

// Open opens the folder at root, makes it if it is missing, and clears away what
// an earlier run was writing when it ended. Received pieces stay.
func Open(root string) (*Dir, error) { return OpenLimited(root, media.DefaultLimits()) }

// OpenLimited is Open with other limits for photos that arrive in pieces.
func OpenLimited(root string, lim media.Limits) (*Dir, error) {
	return open(&Dir{root: root, limits: lim})
}

// OpenOn is Open on a disk that may fail.
func OpenOn(disk durable.Disk, root string) (*Dir, error) {
	return open(&Dir{root: root, limits: media.DefaultLimits(), disk: disk})
}

func open(d *Dir) (*Dir, error) {
	root := d.root
	for _, name := range []string{arriving, pieces} {
		if err := d.disk.MkdirAll(filepath.Join(root, name), dirPerm); err != nil {
			return nil, fmt.Errorf("open photo folder: %w", err)
		}
	}
	if err := d.disk.Sweep(filepath.Join(root, arriving)); err != nil {
		return nil, fmt.Errorf("open photo folder: %w", err)
	}
	if err := d.sweepPieces(); err != nil {
		return nil, fmt.Errorf("open photo folder: %w", err)
	}
	return d, nil
}

// OpenToRead looks at a folder that another program may be writing: it makes
// nothing and clears nothing away. A folder that is not there holds nothing.
func OpenToRead(root string) *Dir { return &Dir{root: root, limits: media.DefaultLimits()} }

// On has the folder take originals away on a disk that may fail. It is called before the
// folder is used.
func (d *Dir) On(disk durable.Disk) *Dir {
	d.disk = disk
	return d
}

func (d *Dir) path(ref media.Ref) string {
	name := ref.Hex()
	return filepath.Join(d.root, name[:2], name)
}

// Create implements [media.Originals].
func (d *Dir) Create(ctx context.Context) (media.Draft, error) {
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	f, err := d.disk.Create(filepath.Join(d.root, arriving), filePerm)
	if err != nil {
		return nil, err
	}
	return &draft{File: f, dir: d}, nil
}

type draft struct {
	*durable.File
	dir *Dir
}

// Commit puts the draft in its place. Bytes that stand under ref already and
// differ are not the photo (these are): they have been damaged since, and the
// good ones replace them.
func (f *draft) Commit(ctx context.Context, ref media.Ref) error {
	if err := context.Cause(ctx); err != nil {
		return err
	}
	path := f.dir.path(ref)
	if err := f.dir.disk.MkdirAll(filepath.Dir(path), dirPerm); err != nil {
		return err
	}
	switch err := f.dir.Verify(ctx, ref); {
	case err == nil, errors.Is(err, media.ErrNotHere):
		return f.File.CommitIdentical(path)
	case errors.Is(err, ErrDamaged):
		return f.File.Commit(path)
	default:
		return err
	}
}

// Open implements [media.Originals].
func (d *Dir) Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	if err := context.Cause(ctx); err != nil {
		return nil, 0, err
	}
	f, err := os.Open(d.path(ref))
	if errors.Is(err, fs.ErrNotExist) {
		return d.openArchived(ctx, ref)
	}
	if err != nil {
		return nil, 0, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	return f, info.Size(), nil
}

// Has implements [media.Originals].
func (d *Dir) Has(ctx context.Context, ref media.Ref) (bool, error) {
	if err := context.Cause(ctx); err != nil {
		return false, err
	}
	switch _, err := os.Stat(d.path(ref)); {
	case err == nil:
		return true, nil
	case !errors.Is(err, fs.ErrNotExist):
		return false, err
	}
	for _, a := range d.archived(ref) {
		if has, err := a.dir.Has(ctx, ref); err != nil || has {
			return has, err
		}
	}
	return false, nil
}

// Remove takes an original away, for good. An original that is not here gives
// [media.ErrNotHere].
func (d *Dir) Remove(ctx context.Context, ref media.Ref) error {
	if err := context.Cause(ctx); err != nil {
		return err
	}
	err := d.disk.Remove(d.path(ref))
	if errors.Is(err, fs.ErrNotExist) && len(d.archived(ref)) > 0 {
		err = nil
	}
	if err != nil {
		return hereOr(err, ref)
	}
	return d.removeArchived(ctx, ref)
}

// Verify reads an original and compares its hash with its name. The error is
// [ErrDamaged] if they differ, [media.ErrNotHere] if there is none.
func (d *Dir) Verify(ctx context.Context, ref media.Ref) error {
	f, _, err := d.Open(ctx, ref)
	if err != nil {
		return err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, until.Done(ctx, f)); err != nil {
		return fmt.Errorf("verify photo %s: %w", ref, err)
	}
	if media.Ref(sum.Sum(nil)) != ref {
		return fmt.Errorf("verify photo %s: %w", ref, ErrDamaged)
	}
	return nil
}

// All gives the Ref of every original in the folder, in ascending order, and then of those
// that only archives in reach have. Files with other names, which operating systems like to leave, are passed over. An
// error ends it.
func (d *Dir) All(ctx context.Context) iter.Seq2[media.Ref, error] {
	return func(yield func(media.Ref, error) bool) {
		for ref, err := range d.Here(ctx) {
			if !yield(ref, err) || err != nil {
				return
			}
		}
		for i, a := range d.archives {
			for _, ref := range a.Holds {
				if d.elsewhere(ctx, i, ref) {
					continue
				}
				if !yield(ref, nil) {
					return
				}
			}
		}
	}
}

// elsewhere reports whether an original that an archive is to have lies in the folder itself
// or in an archive before, or not in this one now.
func (d *Dir) elsewhere(ctx context.Context, n int, ref media.Ref) bool {
	if _, err := os.Stat(d.path(ref)); err == nil {
		return true
	}
	for i, a := range d.archives[:n+1] {
		if !a.holds[ref] {
			continue
		}
		if has, err := a.dir.Has(ctx, ref); err == nil && has {
			return i < n
		}
	}
	return true
}

// Here gives the Ref of every original in the folder itself, in ascending order. An error
// ends it.
func (d *Dir) Here(ctx context.Context) iter.Seq2[media.Ref, error] {
	return func(yield func(media.Ref, error) bool) {
		shelves, err := os.ReadDir(d.root)
		if errors.Is(err, fs.ErrNotExist) {
			return
		}
		if err != nil {
			yield(media.Ref{}, err)
			return
		}
		for _, shelf := range shelves {
			if len(shelf.Name()) != 2 || !shelf.IsDir() {
				continue
			}
			files, err := os.ReadDir(filepath.Join(d.root, shelf.Name()))
			if err == nil {
				err = context.Cause(ctx)
			}
			if err != nil {
				yield(media.Ref{}, err)
				return
			}
			for _, f := range files {
				ref, err := media.ParseHex(f.Name())
				if err != nil || f.Name()[:2] != shelf.Name() {
					continue
				}
				if !yield(ref, nil) {
					return
				}
			}
		}
	}
}

// hereOr turns "no such file" into ErrNotHere.
func hereOr(err error, ref media.Ref) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("photo %s: %w", ref, media.ErrNotHere)
	}
	return err
}
