package photodir

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"fettlebook/media"
)

// Archive is a folder, usually on another disk, to which originals of a folder were moved. It
// is laid out as that one is. Its disk need not be connected: what it holds is known all the
// same.
type Archive struct {
	Root  string
	Holds []media.Ref
}

// archive is an archive as it is asked.
type archive struct {
	Archive
	dir   *Dir
	holds map[media.Ref]bool
}

// WithArchives has the folder find originals in archives too. It is called before the folder
// is used.
func (d *Dir) WithArchives(list ...Archive) *Dir {
	d.archives = nil
	for _, a := range list {
		one := archive{Archive: a, dir: OpenToRead(a.Root), holds: make(map[media.Ref]bool, len(a.Holds))}
		for _, ref := range a.Holds {
			one.holds[ref] = true
		}
		d.archives = append(d.archives, one)
	}
	return d
}

// archived are the archives that are to have an original.
func (d *Dir) archived(ref media.Ref) []archive {
	return slices.DeleteFunc(slices.Clone(d.archives), func(a archive) bool { return !a.holds[ref] })
}

// openArchived opens an original in an archive that is to have it. One that is not in reach is
// a [media.Away]; what an archive in reach does not have is not here.
func (d *Dir) openArchived(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	away := error(nil)
	for _, a := range d.archived(ref) {
		f, size, err := a.dir.Open(ctx, ref)
		switch {
		case err == nil:
			return f, size, nil
		case !errors.Is(err, media.ErrNotHere):
			return nil, 0, err
		}
		if _, err := os.Stat(filepath.Join(a.Root, Mark)); err != nil {
			away = fmt.Errorf("photo %s: %w", ref, &media.Away{Folder: a.Root})
		}
	}
	if away == nil {
		away = hereOr(fs.ErrNotExist, ref)
	}
	return nil, 0, away
}

// Mark is a file in an archive by which it is told from the empty folder on which its disk is
// mounted.
const Mark = "archive-of-originals"

// removeArchived takes an original out of every archive that is to have it. One that is not in
// reach is an error: it is tried again.
func (d *Dir) removeArchived(ctx context.Context, ref media.Ref) error {
	for _, a := range d.archived(ref) {
		if _, err := os.Stat(filepath.Join(a.Root, Mark)); err != nil {
			return fmt.Errorf("remove photo %s: %w", ref, &media.Away{Folder: a.Root})
		}
		if err := a.dir.Remove(ctx, ref); err != nil && !errors.Is(err, media.ErrNotHere) {
			return err
		}
	}
	return nil
}

// Where says in which folder an original lies: the folder itself, an archive, or "" if it is
// in none; away says that the archive is not in reach.
func (d *Dir) Where(ctx context.Context, ref media.Ref) (root string, away bool) {
	if _, err := os.Stat(d.path(ref)); err == nil {
		return d.root, false
	}
	for _, a := range d.archived(ref) {
		if has, err := a.dir.Has(ctx, ref); err == nil && has {
			return a.Root, false
		}
		if _, err := os.Stat(filepath.Join(a.Root, Mark)); err != nil {
			root, away = a.Root, true
		}
	}
	return root, away
}
