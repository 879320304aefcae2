package durable

import "io/fs"

// Disk opens the seam to tests: a disk whose calls go through fault.
type Disk struct{ disk }

func FaultyDisk(fault func(op string, call func() error) error) Disk { return Disk{disk{fault}} }

func (d Disk) WriteFile(path string, data []byte, perm fs.FileMode) error {
	return d.writeFile(path, data, perm, (*File).Commit)
}

func (d Disk) CreateIdentical(path string, data []byte, perm fs.FileMode) error {
	return d.writeFile(path, data, perm, (*File).CommitIdentical)
}

func (d Disk) Remove(path string) error { return d.remove(path) }

func (d Disk) MkdirAll(path string, perm fs.FileMode) error { return d.mkdirAll(path, perm) }

func (d Disk) Sweep(dir string) error { return d.sweep(dir) }
