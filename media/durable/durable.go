// Package durable writes files so that they are on the disk: after a power cut
// at any instant a name holds either all of its old content or all of its new,
// and what a function here reported as done stays done.
//
// It is the only place in the program that renames files. Each function lists
// its system calls in order. New content is always written under a temporary
// name first (see [IsTemp]), which a crash may leave behind; [Sweep] clears
// those away when a folder is opened again.
//
//	err := durable.WriteFile("shop/route.yaml", card, 0o600)
//
// A function that reports an error may have done its work all the same, for
// instance if only the last fsync failed. It has then done all of it, and calling
// it again is safe.
package durable

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// ErrDiffers says that a name is taken by other content.
var ErrDiffers = errors.New("a file of this name is there already and holds something else")

const tempPrefix = ".new-"

// IsTemp reports whether the last element of path is a name under which this
// package keeps unfinished content. Readers of a folder pass over such files.
func IsTemp(path string) bool { return strings.HasPrefix(filepath.Base(path), tempPrefix) }

// WriteFile puts data under path, replacing what was there.
//
//	create, write, fsync, close   path's folder/.new-*
//	rename                        .new-* to path
//	fsync                         path's folder
func WriteFile(path string, data []byte, perm fs.FileMode) error {
	return disk{}.writeFile(path, data, perm)
}

// Remove takes the file, or empty folder, at path away.
//
//	unlink   path
//	fsync    path's folder
func Remove(path string) error { return disk{}.remove(path) }

// MkdirAll makes the folder at path and every folder above it that is missing.
//
//	fsync     the folder that the lowest existing one is in
//	for each missing folder, from the top:
//	  mkdir   the folder
//	  fsync   the folder that it is in
func MkdirAll(path string, perm fs.FileMode) error { return disk{}.mkdirAll(path, perm) }

// MoveFolder gives a folder that was filled the name that it is to have, in the
// same folder of folders. Under that name there may be an empty folder, and
// nothing else.
//
//	rmdir    to, if it is there
//	rename   from to to
//	fsync    to's folder
func MoveFolder(from, to string) error { return disk{}.moveFolder(from, to) }

// Sweep removes the unfinished files in dir, which no running program may still
// be writing. Folders below dir are left alone.
//
//	unlink   each .new-*
//	fsync    dir, if there was one
func Sweep(dir string) error { return disk{}.sweep(dir) }

// Create starts a file whose name may not be known yet, in folder dir. What is
// written to it is not on the disk before a Commit.
//
//	create   dir/.new-*
func Create(dir string, perm fs.FileMode) (*File, error) { return disk{}.create(dir, perm) }

// A File is new content on its way to the disk. End it with one of the Commits
// or with Abort; after either, Abort does nothing.
type File struct {
	disk disk
	f    *os.File
	done bool
}

// Write appends to the unfinished file.
func (f *File) Write(p []byte) (n int, err error) {
	err = f.disk.do("write", func() error {
		n, err = f.f.Write(p)
		return err
	})
	return n, err
}

// Commit gives the file its name, replacing what was there. path may lie in
// another folder on the same file system; the folder must exist.
//
//	fsync, close   .new-*
//	rename         .new-* to path
//	fsync          path's folder
func (f *File) Commit(path string) error {
	return f.finish(path, func() error { return f.disk.rename(f.f.Name(), path) })
}

// CommitIdentical gives the file its name unless the name is taken. If what is
// there is the same, that is success; if it differs, it stays as it is and the
// error is [ErrDiffers].
//
//	fsync, close   .new-*
//	link           .new-* to path
//	  if path is there:             read both and compare
//	  if the disk knows no links:   rename .new-* to path, having looked that path is free
//	unlink         .new-*
//	fsync          path's folder
//
// Only on a disk without links (some memory cards) could two writers at the same
// instant replace each other's file.
func (f *File) CommitIdentical(path string) error {
	return f.finish(path, func() error { return f.disk.linkOrSame(f.f.Name(), path) })
}

func (f *File) finish(path string, name func() error) error {
	if f.done {
		return fs.ErrClosed
	}
	err := f.disk.do("fsync", f.f.Sync)
	if err == nil {
		err = f.close()
	}
	if err == nil {
		err = name()
	}
	if err != nil {
		return errors.Join(fmt.Errorf("write %s: %w", path, err), f.Abort())
	}
	f.done = true
	return f.disk.syncDir(filepath.Dir(path))
}

// Abort throws the unfinished file away.
//
//	close, unlink   .new-*
func (f *File) Abort() error {
	if f.done {
		return nil
	}
	f.done = true
	closed := f.close()
	if err := f.disk.unlink(f.f.Name()); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("throw away unfinished file: %w", err)
	}
	return closed
}

func (f *File) close() error {
	err := f.disk.do("close", f.f.Close)
	if errors.Is(err, fs.ErrClosed) {
		return nil
	}
	return err
}

// same reports whether two files hold the same bytes.
func same(a, b string) (bool, error) {
	fa, err := os.Open(a)
	if err != nil {
		return false, err
	}
	defer fa.Close()
	fb, err := os.Open(b)
	if err != nil {
		return false, err
	}
	defer fb.Close()

	const piece = 64 << 10
	bufA, bufB := make([]byte, piece), make([]byte, piece)
	for {
		n, errA := io.ReadFull(fa, bufA)
		m, errB := io.ReadFull(fb, bufB)
		if !bytes.Equal(bufA[:n], bufB[:m]) {
			return false, nil
		}
		atEnd := errA == io.EOF || errA == io.ErrUnexpectedEOF
		switch {
		case atEnd && (errB == io.EOF || errB == io.ErrUnexpectedEOF):
			return true, nil
		case errA != nil && !atEnd:
			return false, errA
		case errB != nil:
			return false, errB
		}
	}
}
