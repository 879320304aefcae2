package witness

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
	"fettlebook/journal/witnessed"
	"fettlebook/media/durable"
)

// Dir keeps states of the hub's log in a folder beside it, with what others
// said of them: SIZE.checkpoint and SIZE.tsr, and in the file witnesses the keys
// of all who were ever asked to sign.
type Dir struct{ path string }

// OpenDir opens the folder; it is made when something is kept.
func OpenDir(path string) *Dir { return &Dir{path} }

func (d *Dir) file(size int64, kind string) string {
	return filepath.Join(d.path, strconv.FormatInt(size, 10)+kind)
}

const (
	noteFile  = ".checkpoint"
	stampFile = ".tsr"
	whoFile   = "witnesses"
)

// Know keeps the key of a witness, in verifier form, so that its lines are
// found on what is kept also when it is no longer asked.
func (d *Dir) Know(key string) error {
	known, err := d.known()
	if err != nil || slices.Contains(known, key) {
		return err
	}
	if err = durable.MkdirAll(d.path, 0o700); err == nil {
		err = durable.WriteFile(filepath.Join(d.path, whoFile), []byte(strings.Join(append(known, key), "\n")+"\n"), 0o600)
	}
	if err != nil {
		return fmt.Errorf("keep the key of a witness: %w", err)
	}
	return nil
}

func (d *Dir) known() ([]string, error) {
	raw, err := os.ReadFile(filepath.Join(d.path, whoFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read the keys of witnesses: %w", err)
	}
	return strings.Fields(string(raw)), nil
}

// Save keeps a state and what was said of it, on the disk when it returns. An
// older answer over other bytes of the same state is worth nothing any more,
// and is not read.
func (d *Dir) Save(k witnessed.Kept) error {
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
func (d *Dir) Newest(ctx context.Context) (witnessed.Kept, error) {
	sizes, err := d.sizes()
	if err != nil || len(sizes) == 0 {
		return witnessed.Kept{}, err
	}
	return d.read(ctx, sizes[len(sizes)-1])
}

// Since returns the smallest state with at least so many entries that anybody
// said something of; its Size is 0 if there is none. It is what a dossier
// takes along.
func (d *Dir) Since(ctx context.Context, size int64) (witnessed.Kept, error) {
	sizes, err := d.sizes()
	if err != nil {
		return witnessed.Kept{}, err
	}
	at, _ := slices.BinarySearch(sizes, size)
	for _, s := range sizes[at:] {
		k, err := d.read(ctx, s)
		if err != nil || k.Said() {
			return k, err
		}
	}
	return witnessed.Kept{}, nil
}

// Last returns the largest state that anybody said something of; its Size is 0 if
// there is none.
func (d *Dir) Last(ctx context.Context) (witnessed.Kept, error) {
	sizes, err := d.sizes()
	if err != nil {
		return witnessed.Kept{}, err
	}
	for _, s := range slices.Backward(sizes) {
		k, err := d.read(ctx, s)
		if err != nil || k.Said() {
			return k, err
		}
	}
	return witnessed.Kept{}, nil
}

// read reads what is kept of a state, as far as it holds.
func (d *Dir) read(ctx context.Context, size int64) (witnessed.Kept, error) {
	if err := ctx.Err(); err != nil {
		return witnessed.Kept{}, err
	}
	k := witnessed.Kept{Size: size}
	var err error
	if k.Note, err = os.ReadFile(d.file(size, noteFile)); err != nil {
		return witnessed.Kept{}, fmt.Errorf("read what was witnessed: %w", err)
	}
	raw, err := os.ReadFile(d.file(size, stampFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return witnessed.Kept{}, fmt.Errorf("read what was witnessed: %w", err)
	}
	if _, bad := witnessed.CheckStamp(raw, k.Note); bad == nil {
		k.Stamp = raw
	}
	known, err := d.known()
	if err != nil {
		return witnessed.Kept{}, err
	}
	for _, key := range known {
		v, err := witnessed.Verifier(key)
		if err != nil {
			return witnessed.Kept{}, err
		}
		if list, err := witnessed.Cosigned(k.Note, v); err == nil && len(list) > 0 {
			k.Witnesses = append(k.Witnesses, key)
		}
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
