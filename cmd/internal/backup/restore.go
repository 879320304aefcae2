package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"fettlebook/cmd/internal/folder"
	"fettlebook/media/durable"
	"fettlebook/media/photodir"
)

// ErrTaken is returned for a folder that is not empty.
var ErrTaken = errors.New("there is something in this folder already; restore into a new one")

// Check reads all files of a set and compares them with what it says of itself.
func (s *Set) Check(ctx context.Context) error {
	for _, want := range s.Files {
		if !filepath.IsLocal(filepath.FromSlash(want.Path)) {
			return fmt.Errorf("%w (%s names a file outside: %s)", ErrDamaged, s.Dir, want.Path)
		}
		is, err := measured(ctx, s.Dir, want.Path, io.Discard)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return fmt.Errorf("%w (%s is missing)", ErrDamaged, filepath.Join(s.Dir, want.Path))
		case err != nil:
			return fmt.Errorf("read backup: %w", err)
		case is != want:
			return fmt.Errorf("%w (%s is not what it was)", ErrDamaged, filepath.Join(s.Dir, want.Path))
		}
	}
	return nil
}

// Restore makes a data folder of a set of a backup. The folder gets its name last,
// so that it is whole or not there.
func Restore(ctx context.Context, dir string, s *Set, to string, progress func(done, total int64)) (err error) {
	if err := s.Check(ctx); err != nil {
		return err
	}
	switch there, err := os.ReadDir(to); {
	case len(there) > 0:
		return fmt.Errorf("%w (%s)", ErrTaken, to)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("restore: %w", err)
	}
	to, err = filepath.Abs(to)
	if err != nil {
		return fmt.Errorf("restore: %w", err)
	}
	unfinished := filepath.Join(filepath.Dir(to), unnamed+filepath.Base(to))
	if err := os.RemoveAll(unfinished); err != nil { // of a restore that was cut off
		return fmt.Errorf("restore: %w", err)
	}
	if err := s.unpack(ctx, dir, unfinished, progress); err != nil {
		return errors.Join(err, os.RemoveAll(unfinished))
	}
	if err := durable.MoveFolder(unfinished, to); err != nil {
		return fmt.Errorf("restore: %w", err)
	}
	return nil
}

func (s *Set) unpack(ctx context.Context, dir, into string, progress func(done, total int64)) error {
	if err := durable.MkdirAll(into, 0o700); err != nil {
		return fmt.Errorf("restore: %w", err)
	}
	for _, f := range s.Files {
		if _, err := carry(ctx, s.Dir, f.Path, into); err != nil {
			return err
		}
	}
	photos, err := photodir.Open(folder.PhotosPath(into))
	if err != nil {
		return err
	}
	if _, err = pour(ctx, photodir.OpenToRead(folder.PhotosPath(dir)), photos, progress); err != nil || s.Bench == "" {
		return err
	}
	bench, err := Read(filepath.Join(dir, benchFolder), s.Bench)
	if err != nil {
		return err
	}
	return Restore(ctx, filepath.Join(dir, benchFolder), bench, filepath.Join(into, benchFolder), progress)
}
