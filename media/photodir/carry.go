package photodir

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"fettlebook/media"
	"fettlebook/media/until"
)

// Carry copies an original into another folder, and returns when it is on the disk there and
// was read back with the hash of its name. It keeps when the original came. This folder keeps
// it too.
func (d *Dir) Carry(ctx context.Context, into *Dir, ref media.Ref) (int64, error) {
	r, _, err := d.Open(ctx, ref)
	if err != nil {
		return 0, err
	}
	defer r.Close()
	draft, err := into.Create(ctx)
	if err != nil {
		return 0, err
	}
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(draft, sum), until.Done(ctx, r))
	if err == nil && media.Ref(sum.Sum(nil)) != ref {
		err = fmt.Errorf("carry photo %s: %w", ref, ErrDamaged)
	}
	if err != nil {
		return 0, errors.Join(err, draft.Abort())
	}
	if err := draft.Commit(ctx, ref); err != nil {
		return 0, err
	}
	if f, ok := r.(*os.File); ok {
		if info, err := f.Stat(); err == nil {
			_ = os.Chtimes(into.path(ref), info.ModTime(), info.ModTime()) // it only tells when the photograph came
		}
	}
	return n, into.Verify(ctx, ref)
}

// MarkIt marks a folder as one of originals, so that it is told from the empty folder on which
// its disk is mounted. It is made if it is missing, and comes before all that is in it: what is
// cut off after that is known for what it is.
func (d *Dir) MarkIt() error {
	if err := d.disk.MkdirAll(d.root, dirPerm); err != nil {
		return fmt.Errorf("mark photo folder: %w", err)
	}
	if err := d.disk.Sweep(d.root); err != nil {
		return fmt.Errorf("mark photo folder: %w", err)
	}
	return d.disk.WriteFile(filepath.Join(d.root, Mark), []byte("Original photographs of a fettlebook, each under the SHA-256 of its bytes.\n"), filePerm)
}

// Size is how many originals lie in the folder itself, how many bytes they have, and how many
// bytes of them came since a time.
func (d *Dir) Size(ctx context.Context, since time.Time) (count int, bytes, lately int64, first time.Time, err error) {
	for ref, err := range d.Here(ctx) {
		if err != nil {
			return count, bytes, lately, first, err
		}
		info, err := os.Stat(d.path(ref))
		if err != nil {
			continue // withdrawn a moment ago
		}
		count++
		bytes += info.Size()
		if info.ModTime().After(since) {
			lately += info.Size()
		}
		if first.IsZero() || info.ModTime().Before(first) {
			first = info.ModTime()
		}
	}
	return count, bytes, lately, first, nil
}
