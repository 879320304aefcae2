package durable

import "io/fs"

// A Disk does what the functions of this package do. Its zero value is the disk as it is; one
// that was made with [Through] shows what becomes of a program whose disk fails.
type Disk struct{ disk disk }

// Through returns a disk whose every call that changes something goes through fault, which
// makes the call or does not, and says what came of it.
func Through(fault func(op string, call func() error) error) Disk { return Disk{disk{fault}} }

// WriteFile is [WriteFile] on this disk.
func (d Disk) WriteFile(path string, data []byte, perm fs.FileMode) error {
	return d.disk.writeFile(path, data, perm)
}

// Remove is [Remove] on this disk.
func (d Disk) Remove(path string) error { return d.disk.remove(path) }

// MkdirAll is [MkdirAll] on this disk.
func (d Disk) MkdirAll(path string, perm fs.FileMode) error { return d.disk.mkdirAll(path, perm) }

// MoveFolder is [MoveFolder] on this disk.
func (d Disk) MoveFolder(from, to string) error { return d.disk.moveFolder(from, to) }

// Sweep is [Sweep] on this disk.
func (d Disk) Sweep(dir string) error { return d.disk.sweep(dir) }

// Create is [Create] on this disk.
func (d Disk) Create(dir string, perm fs.FileMode) (*File, error) { return d.disk.create(dir, perm) }
