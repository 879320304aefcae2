package folder

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/media/durable"
	"fettlebook/media/photodir"
)

// ErrPhotosTo is wrapped when originals cannot go to a folder.
var ErrPhotosTo = errors.New("the photographs cannot go there")

// Moved is what came of moving originals.
type Moved struct {
	Originals int
	Bytes     int64
}

// Carrier moves originals to where they are to lie from now on. Each is copied, synced and read
// back before anything is taken away, so whatever ends it loses none, and what it left undone
// is done when it is asked again.
type Carrier struct {
	Progress func(done, all int64) // nil for nobody
	Disk     durable.Disk
}

// Move moves all originals of a folder that are not archived to another folder, and has them
// lie there from now on. The caller holds the lock.
func (c Carrier) Move(ctx context.Context, dir, to string) (m Moved, err error) {
	places, err := ReadPlaces(dir)
	if err != nil {
		return m, err
	}
	if places.Folder != "" {
		if _, err := os.Stat(filepath.Join(places.Folder, photodir.Mark)); err != nil {
			return m, fmt.Errorf("%w (%s)", ErrPhotosAway, places.Folder)
		}
	}
	if places.Leaving != "" {
		at, err := filepath.Abs(to)
		if err != nil {
			return m, fmt.Errorf("%w: %w", ErrPhotosTo, err)
		}
		if m, err = c.leave(ctx, dir, places); err != nil || at == places.Root(dir) {
			return m, err
		}
	}
	if to, err = target(dir, places, to); err != nil {
		return m, err
	}
	places.Leaving = places.Root(dir)
	from := photodir.OpenToRead(places.Leaving).On(c.Disk)
	refs, err := here(ctx, from)
	if err != nil {
		return m, err
	}
	if m, err = c.carry(ctx, from, to, refs); err != nil {
		return m, err
	}
	places.Folder = to
	if to == PhotosPath(dir) {
		places.Folder = ""
	}
	if err := places.keep(c.Disk, dir); err != nil {
		return m, err
	}
	return m, c.left(ctx, dir, places, from, refs)
}

// leave ends a move that was cut off: what still lies where it is to go from is carried once
// more, which changes nothing where it is there already, and taken away.
func (c Carrier) leave(ctx context.Context, dir string, places Places) (m Moved, err error) {
	from := photodir.OpenToRead(places.Leaving).On(c.Disk)
	refs, err := here(ctx, from)
	if err != nil {
		return m, err
	}
	if m, err = c.carry(ctx, from, places.Root(dir), refs); err != nil {
		return m, err
	}
	return m, c.left(ctx, dir, places, from, refs)
}

// left takes originals away that lie where they are to lie by now, and forgets from where
// they came.
func (c Carrier) left(ctx context.Context, dir string, places Places, from *photodir.Dir, refs []media.Ref) error {
	if err := takeAway(ctx, from, refs); err != nil {
		return err
	}
	places.Leaving = ""
	return places.keep(c.Disk, dir)
}

// here lists the originals that lie in a folder itself.
func here(ctx context.Context, in *photodir.Dir) (refs []media.Ref, err error) {
	for ref, err := range in.Here(ctx) {
		if err != nil {
			return nil, err
		}
		refs = append(refs, ref)
	}
	return refs, nil
}

// Archive moves the originals of a folder whose entries are all from before a time to an
// archive. What the hub has not confirmed yet stays with its tablet. The folder is open, so its
// lock is held.
func (c Carrier) Archive(ctx context.Context, f *Folder, to string, before time.Time) (m Moved, err error) {
	places, err := ReadPlaces(f.Dir)
	if err != nil {
		return m, err
	}
	if to, err = target(f.Dir, places, to); err != nil {
		return m, err
	}
	if to == places.Root(f.Dir) {
		return m, fmt.Errorf("%w: the photographs of this folder lie there already", ErrPhotosTo)
	}
	from := photodir.OpenToRead(places.Root(f.Dir)).On(c.Disk)
	refs, err := f.oldPhotos(ctx, from, before)
	if err != nil {
		return m, err
	}
	if m, err = c.carry(ctx, from, to, refs); err != nil {
		return m, err
	}
	i := slices.IndexFunc(places.Archives, func(a Archive) bool { return a.Folder == to })
	if i < 0 {
		i, places.Archives = len(places.Archives), append(places.Archives, Archive{Folder: to})
	}
	places.Archives[i].Holds = append(places.Archives[i].Holds, refs...)
	slices.SortFunc(places.Archives[i].Holds, func(a, b media.Ref) int { return strings.Compare(a.Hex(), b.Hex()) })
	places.Archives[i].Holds = slices.Compact(places.Archives[i].Holds)
	if err := places.keep(c.Disk, f.Dir); err != nil {
		return m, err
	}
	return m, takeAway(ctx, from, refs)
}

// oldPhotos are the originals here that only entries from before a time name.
func (f *Folder) oldPhotos(ctx context.Context, in *photodir.Dir, before time.Time) ([]media.Ref, error) {
	newest := make(map[media.Ref]time.Time)
	for l, err := range f.Log.All(ctx) {
		if err != nil {
			return nil, err
		}
		e, err := journal.Decode(l.Bytes)
		if err != nil {
			continue // nobody can say what it names
		}
		photos, err := e.Photos()
		if err != nil {
			continue
		}
		for _, p := range photos {
			if at := time.Time(e.Time); at.After(newest[p.Ref]) {
				newest[p.Ref] = at
			}
		}
	}
	waiting, err := f.Log.Unconfirmed(ctx)
	if err != nil {
		return nil, err
	}
	var refs []media.Ref
	for ref, err := range in.Here(ctx) {
		if err != nil {
			return nil, err
		}
		at, named := newest[ref]
		if named && at.Before(before) && (f.Role == Hub || !slices.Contains(waiting, ref)) {
			refs = append(refs, ref)
		}
	}
	return refs, nil
}

// target is the folder to which originals go: with its whole path, and empty or one of
// originals already.
func target(dir string, places Places, to string) (string, error) {
	to, err := filepath.Abs(to)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrPhotosTo, err)
	}
	own, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrPhotosTo, err)
	}
	switch root, err := filepath.Abs(places.Root(dir)); {
	case err != nil:
		return "", fmt.Errorf("%w: %w", ErrPhotosTo, err)
	case to == root:
		return "", fmt.Errorf("%w: they lie in %s already", ErrPhotosTo, to)
	case strings.HasPrefix(to+string(filepath.Separator), root+string(filepath.Separator)), to != PhotosPath(own) && strings.HasPrefix(to+string(filepath.Separator), own+string(filepath.Separator)):
		return "", fmt.Errorf("%w: %s lies in the data folder; name a folder of its own on another disk", ErrPhotosTo, to)
	}
	list, err := os.ReadDir(to)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Stat(filepath.Dir(to)); err != nil {
			return "", fmt.Errorf("%w: there is no folder %s; is its disk connected?", ErrPhotosTo, filepath.Dir(to))
		}
		return to, nil
	case err != nil:
		return "", fmt.Errorf("%w: %w", ErrPhotosTo, err)
	}
	list = slices.DeleteFunc(list, func(e fs.DirEntry) bool { return durable.IsTemp(e.Name()) }) // of a move that was cut off
	known := len(list) == 0 || to == PhotosPath(own) || slices.ContainsFunc(list, func(e fs.DirEntry) bool { return e.Name() == photodir.Mark })
	if !known {
		return "", fmt.Errorf("%w: %s holds something else; name an empty folder", ErrPhotosTo, to)
	}
	return to, nil
}

// carry copies originals and says how many they were. Nothing is taken away.
func (c Carrier) carry(ctx context.Context, from *photodir.Dir, to string, refs []media.Ref) (m Moved, err error) {
	if err := photodir.OpenToRead(to).On(c.Disk).MarkIt(); err != nil {
		return m, err
	}
	into, err := photodir.OpenOn(c.Disk, to)
	if err != nil {
		return m, err
	}
	var need int64
	for _, ref := range refs {
		in, size, err := from.Open(ctx, ref)
		if err != nil {
			return m, err
		}
		if err := in.Close(); err != nil {
			return m, err
		}
		if has, err := into.Has(ctx, ref); err != nil {
			return m, err
		} else if !has {
			need += size
		}
	}
	if free, err := durable.Free(to); err == nil && uint64(need)+spare > free {
		return m, fmt.Errorf("%w: they take %d MB, and %s has room for %d MB; nothing was moved", journal.ErrDiskLow, need>>20, to, free>>20)
	}
	for i, ref := range refs {
		n, err := from.Carry(ctx, into, ref)
		if err != nil {
			return m, fmt.Errorf("%w; nothing was taken away", err)
		}
		m.Originals, m.Bytes = m.Originals+1, m.Bytes+n
		if c.Progress != nil {
			c.Progress(int64(i+1), int64(len(refs)))
		}
	}
	return m, nil
}

// spare is what stays free on a disk to which originals are moved.
const spare = 64 << 20

// takeAway removes originals that lie elsewhere by now.
func takeAway(ctx context.Context, from *photodir.Dir, refs []media.Ref) error {
	for _, ref := range refs {
		if err := from.Remove(ctx, ref); err != nil && !errors.Is(err, media.ErrNotHere) {
			return fmt.Errorf("they were moved, but not all could be removed from where they were: %w", err)
		}
	}
	return nil
}

// Growth is how much room photographs take, and how long there is any.
type Growth struct {
	Originals int
	Bytes     int64
	Month     int64  // bytes that come in 30 days, by the last 90; 0 while nobody can say
	Free      uint64 // on their disk
}

// measured is over how many days growth is measured, and leastDays over how many at least.
const measured, leastDays = 90, 7

// PhotosGrowth measures how much room the photographs of a folder take.
func PhotosGrowth(ctx context.Context, dir string, now time.Time) (g Growth, err error) {
	places, err := ReadPlaces(dir)
	if err != nil {
		return g, err
	}
	root := places.Root(dir)
	count, bytes, lately, first, err := photodir.OpenToRead(root).Size(ctx, now.AddDate(0, 0, -measured))
	if err != nil {
		return g, err
	}
	g.Originals, g.Bytes = count, bytes
	if days := min(now.Sub(first).Hours()/24, measured); !first.IsZero() && days >= leastDays {
		g.Month = int64(float64(lately) / days * 30)
	}
	g.Free, err = durable.Free(root)
	if errors.Is(err, fs.ErrNotExist) {
		g.Free, err = durable.Free(dir)
	}
	return g, err
}

// Months is for how many months there is room, as far as anybody can say.
func (g Growth) Months() (months float64, known bool) {
	if g.Month == 0 {
		return 0, false
	}
	return float64(g.Free) / float64(g.Month), true
}
