package durable

import (
	"errors"
	"io/fs"
	"path/filepath"
)

// CommitIdentical writes a file that ends with [File.CommitIdentical].
func (d Disk) CommitIdentical(path string, data []byte, perm fs.FileMode) error {
	f, err := d.Create(filepath.Dir(path), perm)
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return errors.Join(err, f.Abort())
	}
	return f.CommitIdentical(path)
}
