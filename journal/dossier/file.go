package dossier

import (
	"context"
	"errors"
	"io"
	"path/filepath"

	"fettlebook/journal/evidence"
	"fettlebook/journal/shop"
	"fettlebook/media/durable"
)

// Write builds the dossier of a subject into a file: whole and on the disk, or
// not at all, and what was there before stays.
func (b Builder) Write(ctx context.Context, v *shop.View, of Subject, asked Asked, path string) (d *evidence.Dossier, err error) {
	err = whole(path, func(w io.Writer) error {
		d, err = b.Build(ctx, v, of, asked, w)
		return err
	})
	return d, err
}

// whole writes a file beside its place and puts it there when it is whole.
func whole(path string, write func(io.Writer) error) error {
	f, err := durable.Create(filepath.Dir(path), 0o644)
	if err != nil {
		return err
	}
	if err := write(f); err != nil {
		return errors.Join(err, f.Abort())
	}
	return f.Commit(path)
}
