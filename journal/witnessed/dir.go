package witnessed

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal"
	"fettlebook/media/durable"
)

// Kept is a state of the hub's log, and what others said of it.
type Kept struct {
	Size  int64
	Note  []byte // signed, countersigned, with the witnesses' lines
	Stamp []byte // an authority's answer over Note; nil if there is none
}

// Dir keeps states of one log in a folder: SIZE.checkpoint and SIZE.tsr.
type Dir struct{ path string }

// OpenDir opens the folder; it is made when something is kept.
func OpenDir(path string) *Dir { return &Dir{path} }

func (d *Dir) file(size int64, kind string) string {
	return filepath.Join(d.path, strconv.FormatInt(size, 10)+kind)
}

const (
	noteFile  = ".checkpoint"
	stampFile = ".tsr"
)

// Save keeps a state and what was said of it, on the disk when it returns. An
// older answer over other bytes of the same state is worth nothing any more,
// and is not read.
func (d *Dir) Save(k Kept) error {
	err := durable.MkdirAll(d.path, 0o700)
	if err == nil {
		err = durable.WriteFile(d.file(k.Size, noteFile), k.Note, 0o600)
	}
	if err == nil && k.Stamp != nil {
		err = durable.WriteFile(d.file(k.Size, stampFile), k.Stamp, 0o600)
	}
	if err != nil {
		return fmt.Errorf("keep what was witnessed of entry %d: %w", k.Size, err)
	}
	return nil
}

// Newest returns the largest state that is kept; its Size is 0 if none is.
func (d *Dir) Newest(ctx context.Context) (Kept, error) {
	sizes, err := d.sizes()
	if err != nil || len(sizes) == 0 {
		return Kept{}, err
	}
	return d.read(ctx, sizes[len(sizes)-1])
}

// Since returns the smallest state with at least so many entries that
// anybody said something of, as told by said; its Size is 0 if there is none.
// It is what a dossier takes along.
func (d *Dir) Since(ctx context.Context, size int64, said func(Kept) bool) (Kept, error) {
	sizes, err := d.sizes()
	if err != nil {
		return Kept{}, err
	}
	at, _ := slices.BinarySearch(sizes, size)
	for _, s := range sizes[at:] {
		k, err := d.read(ctx, s)
		if err != nil || said(k) {
			return k, err
		}
	}
	return Kept{}, nil
}

func (d *Dir) read(ctx context.Context, size int64) (Kept, error) {
	if err := ctx.Err(); err != nil {
		return Kept{}, err
	}
	k := Kept{Size: size}
	var err error
	if k.Note, err = os.ReadFile(d.file(size, noteFile)); err != nil {
		return Kept{}, fmt.Errorf("read what was witnessed: %w", err)
	}
	raw, err := os.ReadFile(d.file(size, stampFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Kept{}, fmt.Errorf("read what was witnessed: %w", err)
	}
	if _, bad := CheckStamp(raw, k.Note); bad == nil {
		k.Stamp = raw
	}
	return k, nil
}

// sizes lists the states that are kept, by rising size.
func (d *Dir) sizes() (list []int64, err error) {
	files, err := os.ReadDir(d.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("look for what was witnessed: %w", err)
	}
	for _, f := range files {
		number, ok := strings.CutSuffix(f.Name(), noteFile)
		if size, err := strconv.ParseInt(number, 10, 64); ok && err == nil && size > 0 && size <= journal.MaxLog && strconv.FormatInt(size, 10) == number {
			list = append(list, size)
		}
	}
	slices.Sort(list)
	return list, nil
}
