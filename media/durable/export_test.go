package durable

import (
	"errors"
	"io/fs"
	"path/filepath"
)

// Disk opens the seam to tests: a disk whose calls go through fault.
type Disk struct{ disk }

func FaultyDisk(fault func(op string, call func() error) error) Disk { return Disk{disk{fault}} }

func (d Disk) WriteFile(path string, data []byte, perm fs.FileMode) error {
	return d.writeFile(path, data, perm)
}

// CommitIdentical writes a file that ends with [File.CommitIdentical].
func (d Disk) CommitIdentical(path string, data []byte, perm fs.FileMode) error {
	f, err := d.create(filepath.Dir(path), perm)
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return errors.Join(err, f.Abort())
	}
	return f.CommitIdentical(path)
}

func (d Disk) Remove(path string) error { return d.remove(path) }

func (d Disk) MkdirAll(path string, perm fs.FileMode) error { return d.mkdirAll(path, perm) }

func (d Disk) MoveFolder(from, to string) error { return d.moveFolder(from, to) }

func (d Disk) Sweep(dir string) error { return d.sweep(dir) }
