package bag

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"
)

// Bag is a bag that is read. Nothing of it has been checked but that it can be
// read without harm; see [Bag.Check].
type Bag struct {
	Folder string // into which it unpacks

	files    map[string]*zip.File // by path below the folder
	manifest map[string]Hash      // what is said of the payload
	beside   map[string]Hash      // what is said of the other files
}

// Open reads the directory and the manifests of a bag. What is not one, or
// could do harm, is a [*Refusal].
func Open(r io.ReaderAt, size int64) (*Bag, error) {
	z, offsets, start, err := unpackable(r, size)
	if err != nil {
		return nil, err
	}
	b := &Bag{files: make(map[string]*zip.File, len(z.File))}
	if err := b.take(z.File, size); err != nil {
		return nil, err
	}
	if err := apart(r, z, offsets, start); err != nil {
		return nil, err
	}
	return b, b.read()
}

// take takes in the files if their names and sizes are such as a bag has.
func (b *Bag) take(files []*zip.File, size int64) error {
	unpacked := uint64(0)
	names := make(map[string]bool, len(files))
	for _, f := range files {
		folder, path, below := strings.Cut(f.Name, "/")
		squashed := strings.ToLower(strings.TrimSuffix(f.Name, "/"))
		switch {
		case len(f.Name) > MaxPath || !below || !plain(strings.TrimSuffix(path, "/")) && path != "" || !harmless(folder):
			return refuse(BadName, f.Name, "This ZIP file holds a file called %.80q. A dossier has one folder, and names of letters, digits, dots, dashes and underscores in it.", f.Name)
		case b.Folder != "" && folder != b.Folder:
			return refuse(NotABag, f.Name, "This ZIP file holds two folders, %.80q and %.80q. A dossier has one.", b.Folder, folder)
		case names[squashed]:
			return refuse(Doubled, f.Name, "This ZIP file holds %q twice.", f.Name)
		case f.Flags&flagHidden != 0 || f.Method != zip.Store && f.Method != zip.Deflate:
			return refuse(Packing, f.Name, "In this ZIP file %q is encrypted, or packed in a way that a dossier is not.", f.Name)
		}
		b.Folder = folder
		names[squashed] = true
		if f.Mode().IsDir() || strings.HasSuffix(path, "/") || path == "" {
			if f.UncompressedSize64 != 0 {
				return refuse(NotAFile, f.Name, "In this ZIP file %q is a folder that has bytes of its own.", f.Name)
			}
			continue
		}
		if f.Mode()&fs.ModeType != 0 {
			return refuse(NotAFile, f.Name, "In this ZIP file %q is a link or a device, not a file.", f.Name)
		}
		if f.UncompressedSize64 > MaxUnpacked || f.Method == zip.Store && f.UncompressedSize64 != f.CompressedSize64 {
			return refuse(Bomb, f.Name, "In this ZIP file %q would come to %d bytes.", f.Name, f.UncompressedSize64)
		}
		unpacked += f.UncompressedSize64
		if unpacked > MaxUnpacked || unpacked > uint64(size)*MaxRatio+unpackAtOnce {
			return refuse(Bomb, f.Name, "This ZIP file of %d bytes would unpack to more than %d bytes. A dossier does not.", size, unpacked)
		}
		b.files[path] = f
	}
	// A name that is a file's and a folder's cannot be unpacked.
	for path := range b.files {
		for i, r := range path {
			if r == '/' && b.files[path[:i]] != nil {
				return refuse(Doubled, path, "In this ZIP file %q is a file and a folder.", path[:i])
			}
		}
	}
	return nil
}

// harmless reports whether a folder may be called so: it may have been renamed
// before it was packed again.
func harmless(folder string) bool {
	return folder != "" && folder != "." && folder != ".." && !strings.ContainsFunc(folder, func(r rune) bool {
		return r < ' ' || r == 0x7f || strings.ContainsRune(`\:*?"<>|`, r)
	})
}

// Paths returns the files of the payload, by their paths below data/, sorted.
func (b *Bag) Paths() []string {
	var list []string
	for _, p := range slices.Sorted(maps.Keys(b.files)) {
		if below, ok := strings.CutPrefix(p, payload); ok {
			list = append(list, below)
		}
	}
	return list
}

// Size returns the bytes of all files.
func (b *Bag) Size() int64 {
	n := int64(0)
	for _, f := range b.files {
		n += int64(f.UncompressedSize64)
	}
	return n
}

// Bytes reads a file of the payload, which may have so many bytes. It wraps
// fs.ErrNotExist if the file is not here, and [ErrBroken] if it cannot be
// unpacked or is larger.
func (b *Bag) Bytes(path string, most int) ([]byte, error) { return b.whole(payload+path, most) }

// Head reads the first bytes of a file of the payload, or all if it has fewer.
func (b *Bag) Head(path string, n int) ([]byte, error) {
	r, err := b.open(payload + path)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	head, err := io.ReadAll(io.LimitReader(r, int64(n)))
	return head, broken(path, err)
}

// Into is [Bag.Bytes] into a buffer, in the place of what was in it, for whoever
// reads many large files.
func (b *Bag) Into(to *bytes.Buffer, path string, most int) error {
	return b.into(to, payload+path, most)
}

func (b *Bag) whole(path string, most int) ([]byte, error) {
	var to bytes.Buffer
	if err := b.into(&to, path, most); err != nil {
		return nil, err
	}
	return to.Bytes(), nil
}

func (b *Bag) into(to *bytes.Buffer, path string, most int) error {
	r, err := b.open(path)
	if err != nil {
		return err
	}
	defer r.Close()
	size := b.files[path].UncompressedSize64
	if size > uint64(most) {
		return fmt.Errorf("%s has %d bytes, more than %d: %w", path, size, most, ErrBroken)
	}
	to.Reset()
	to.Grow(int(size) + bytes.MinRead) // so that the end is met in it, where the sum is checked
	_, err = to.ReadFrom(r)
	return broken(path, err)
}

func (b *Bag) open(path string) (io.ReadCloser, error) {
	f := b.files[path]
	if f == nil {
		return nil, fmt.Errorf("%s: %w", path, fs.ErrNotExist)
	}
	r, err := f.Open()
	if err != nil {
		return nil, broken(path, err)
	}
	return r, nil
}

// ErrBroken is wrapped when a file inside cannot be unpacked to what the
// ZIP file says of it.
var ErrBroken = errors.New("it cannot be unpacked")

// bent reports whether an error is the file's and not the disk's.
func bent(err error) bool {
	var corrupt flate.CorruptInputError
	return errors.As(err, &corrupt) || errors.Is(err, zip.ErrFormat) || errors.Is(err, zip.ErrChecksum) ||
		errors.Is(err, zip.ErrAlgorithm) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF)
}

func broken(path string, err error) error {
	switch {
	case err == nil:
		return nil
	case bent(err):
		return fmt.Errorf("%s: %w (%w)", path, ErrBroken, err)
	default:
		return fmt.Errorf("read %s of the dossier: %w", path, err)
	}
}
