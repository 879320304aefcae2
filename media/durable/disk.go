package durable

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// disk makes the calls that change something on the disk, one method each, and
// all of them through do: there a test can let the n-th one fail.
type disk struct {
	fault func(op string, call func() error) error // nil in the program
}

func (d disk) do(op string, call func() error) error {
	if d.fault == nil {
		return call()
	}
	return d.fault(op, call)
}

func (d disk) rename(from, to string) error {
	return d.do("rename", func() error { return os.Rename(from, to) })
}

func (d disk) link(from, to string) error {
	return d.do("link", func() error { return os.Link(from, to) })
}

func (d disk) unlink(path string) error {
	return d.do("unlink", func() error { return os.Remove(path) })
}

// syncDir makes the names in a folder durable. Windows has no such call and
// keeps the names of a folder in its own journal.
func (d disk) syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	err := d.do("fsync folder", func() error {
		f, err := os.Open(dir)
		if err != nil {
			return err
		}
		return errors.Join(f.Sync(), f.Close())
	})
	if err != nil {
		return fmt.Errorf("make names in folder %s durable: %w", dir, err)
	}
	return nil
}

func (d disk) create(dir string, perm fs.FileMode) (*File, error) {
	var f *os.File
	err := d.do("create", func() (err error) {
		f, err = os.CreateTemp(dir, tempPrefix+"*")
		return err
	})
	if err == nil && perm != 0o600 { // which CreateTemp gives
		err = d.do("chmod", func() error { return f.Chmod(perm) })
	}
	if err != nil {
		if f != nil {
			err = errors.Join(err, f.Close(), d.unlink(f.Name()))
		}
		return nil, fmt.Errorf("start a file in %s: %w", dir, err)
	}
	return &File{disk: d, f: f}, nil
}

func (d disk) writeFile(path string, data []byte, perm fs.FileMode) error {
	f, err := d.create(filepath.Dir(path), perm)
	if err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return errors.Join(fmt.Errorf("write %s: %w", path, err), f.Abort())
	}
	return f.Commit(path)
}

// linkOrSame gives the file from the name to, or finds the same bytes there, and
// in both cases takes the name from away.
func (d disk) linkOrSame(from, to string) error {
	err := d.link(from, to)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		if _, statErr := os.Lstat(to); errors.Is(statErr, fs.ErrNotExist) {
			return d.rename(from, to)
		}
	}
	if errors.Is(err, fs.ErrExist) {
		equal, cmpErr := same(from, to)
		switch {
		case cmpErr != nil:
			err = cmpErr
		case !equal:
			err = ErrDiffers
		default:
			err = nil
		}
	}
	if err != nil {
		return err
	}
	return d.unlink(from)
}

func (d disk) remove(path string) error {
	if err := d.unlink(path); err != nil {
		return err
	}
	return d.syncDir(filepath.Dir(path))
}

func (d disk) mkdirAll(path string, perm fs.FileMode) error {
	path = filepath.Clean(path)
	parent := filepath.Dir(path)
	switch info, err := os.Stat(path); {
	case err == nil && info.IsDir():
		// An earlier run may have been killed between its mkdir and its fsync.
		// A parent that may not be read holds no folder of ours.
		if err := d.syncDir(parent); !errors.Is(err, fs.ErrPermission) {
			return err
		}
		return nil
	case err == nil:
		return fmt.Errorf("make folder %s: a file is in its place", path)
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	if err := d.mkdirAll(parent, perm); err != nil {
		return err
	}
	err := d.do("mkdir", func() error { return os.Mkdir(path, perm) })
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return d.syncDir(parent)
}

func (d disk) moveFolder(from, to string) error {
	if err := d.unlink(to); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := d.rename(from, to); err != nil {
		return err
	}
	return d.syncDir(filepath.Dir(to))
}

func (d disk) sweep(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	swept := false
	for _, e := range entries {
		if !IsTemp(e.Name()) || e.IsDir() {
			continue
		}
		if err := d.unlink(filepath.Join(dir, e.Name())); err != nil {
			return fmt.Errorf("clear away unfinished file: %w", err)
		}
		swept = true
	}
	if !swept {
		return nil
	}
	return d.syncDir(dir)
}
