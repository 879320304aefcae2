package durable_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"fettlebook/media/durable"
)

var errFault = errors.New("the disk failed")

// A manner is how the disk fails at a call.
type manner struct {
	name string
	// after decides about call number i when the n-th is to fail.
	fail func(i, n int, call func() error) error
}

func manners() []manner {
	return []manner{
		{"call fails and did nothing", func(i, n int, call func() error) error {
			if i == n {
				return errFault
			}
			return call()
		}},
		{"call fails but did its work", func(i, n int, call func() error) error {
			if err := call(); err != nil || i != n {
				return err
			}
			return errFault
		}},
		// As after a power cut: nothing from here on reaches the disk.
		{"all calls fail from here on", func(i, n int, call func() error) error {
			if i >= n {
				return errFault
			}
			return call()
		}},
	}
}

// eachFault runs op on a fresh folder with the n-th call failing, for n = 0, 1,
// 2, ... until a run meets no fault, and checks the folder after each.
func eachFault(t *testing.T, prepare func(dir string), op func(d durable.Disk, dir string) error, check func(t *testing.T, dir string, err error)) {
	t.Helper()
	for _, m := range manners() {
		t.Run(m.name, func(t *testing.T) {
			for n := 0; ; n++ {
				dir := t.TempDir()
				prepare(dir)
				i, met := 0, ""
				disk := durable.Through(func(name string, call func() error) error {
					defer func() { i++ }()
					if i == n {
						met = name
					}
					return m.fail(i, n, call)
				})
				err := op(disk, dir)
				t.Run(fmt.Sprintf("%d %s", n, met), func(t *testing.T) {
					check(t, dir, err)
					if err := durable.Sweep(dir); err != nil {
						t.Fatalf("sweep: %v", err)
					}
					if left := names(t, dir, durable.IsTemp); len(left) > 0 {
						t.Errorf("after a sweep unfinished files are left: %q", left)
					}
				})
				if met == "" {
					if err != nil {
						t.Fatalf("without a fault: %v", err)
					}
					if n < 2 {
						t.Fatalf("only %d calls went through the seam", n)
					}
					return
				}
			}
		})
	}
}

func names(t *testing.T, dir string, keep func(string) bool) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		if keep(e.Name()) {
			out = append(out, e.Name())
		}
	}
	return out
}

func isFinal(name string) bool { return !durable.IsTemp(name) }

func mustWrite(t *testing.T, path, content string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return ""
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// The contents differ in every byte and in length, so that a mixture of both
// cannot look like either.
var (
	oldContent = strings.Repeat("old.", 1000)
	newContent = strings.Repeat("NEW", 5000)
)

func TestWriteFileFaults(t *testing.T) {
	for _, had := range []string{"", oldContent} {
		t.Run(fmt.Sprintf("%d bytes before", len(had)), func(t *testing.T) {
			eachFault(t,
				func(dir string) {
					if had != "" {
						mustWrite(t, filepath.Join(dir, "entry"), had)
					}
				},
				func(d durable.Disk, dir string) error {
					return d.WriteFile(filepath.Join(dir, "entry"), []byte(newContent), 0o600)
				},
				func(t *testing.T, dir string, err error) {
					got := read(t, filepath.Join(dir, "entry"))
					if err == nil && got != newContent {
						t.Error("reported as written, but the new content is not there")
					}
					if got != had && got != newContent {
						t.Errorf("%d bytes that are neither the old nor the new content", len(got))
					}
					if final := names(t, dir, isFinal); len(final) > 1 {
						t.Errorf("strange files are to be seen: %q", final)
					}
				})
		})
	}
}

func TestCommitIdenticalFaults(t *testing.T) {
	for name, had := range map[string]string{"free": "", "same": newContent, "other": oldContent} {
		t.Run(name, func(t *testing.T) {
			path := func(dir string) string { return filepath.Join(dir, "entry") }
			op := func(d durable.Disk, dir string) error {
				err := d.CommitIdentical(path(dir), []byte(newContent), 0o600)
				if name == "other" && errors.Is(err, durable.ErrDiffers) {
					return nil // what a run without a fault must give
				}
				return err
			}
			eachFault(t,
				func(dir string) {
					if had != "" {
						mustWrite(t, path(dir), had)
					}
				},
				op,
				func(t *testing.T, dir string, err error) {
					switch got := read(t, path(dir)); {
					case had != "" && got != had:
						t.Error("what was there has changed")
					case had == "" && err == nil && got != newContent:
						t.Error("reported as written, but it is not there")
					case had == "" && got != "" && got != newContent:
						t.Error("part of the content is there")
					}
				})
		})
	}
}

func TestCommitIdentical(t *testing.T) {
	path := filepath.Join(t.TempDir(), "entry")
	for _, tt := range []struct {
		content string
		want    error
	}{
		{newContent, nil}, // the name is free
		{newContent, nil}, // the same again
		{oldContent, durable.ErrDiffers},
		{newContent[1:], durable.ErrDiffers},
		{newContent + "N", durable.ErrDiffers},
		{"", durable.ErrDiffers},
	} {
		if err := (durable.Disk{}).CommitIdentical(path, []byte(tt.content), 0o600); !errors.Is(err, tt.want) {
			t.Errorf("%d bytes: %v, want %v", len(tt.content), err, tt.want)
		}
		if read(t, path) != newContent {
			t.Fatal("what was there has changed")
		}
	}
	if left := names(t, filepath.Dir(path), durable.IsTemp); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

func TestRemoveFaults(t *testing.T) {
	eachFault(t,
		func(dir string) { mustWrite(t, filepath.Join(dir, "entry"), oldContent) },
		func(d durable.Disk, dir string) error { return d.Remove(filepath.Join(dir, "entry")) },
		func(t *testing.T, dir string, err error) {
			got := read(t, filepath.Join(dir, "entry"))
			if err == nil && got != "" {
				t.Error("reported as removed, but it is there")
			}
			if got != "" && got != oldContent {
				t.Error("part of it was removed")
			}
		})
}

func TestMkdirAllFaults(t *testing.T) {
	eachFault(t,
		func(string) {},
		func(d durable.Disk, dir string) error { return d.MkdirAll(filepath.Join(dir, "a", "b", "c"), 0o700) },
		func(t *testing.T, dir string, err error) {
			if _, statErr := os.Stat(filepath.Join(dir, "a", "b", "c")); err == nil && statErr != nil {
				t.Errorf("reported as made: %v", statErr)
			}
			if err := durable.MkdirAll(filepath.Join(dir, "a", "b", "c"), 0o700); err != nil {
				t.Errorf("made again: %v", err)
			}
		})
}

func TestSweepFaults(t *testing.T) {
	eachFault(t,
		func(dir string) {
			mustWrite(t, filepath.Join(dir, "entry"), oldContent)
			mustWrite(t, filepath.Join(dir, ".new-1"), "half")
			mustWrite(t, filepath.Join(dir, ".new-2"), "half")
		},
		func(d durable.Disk, dir string) error { return d.Sweep(dir) },
		func(t *testing.T, dir string, err error) {
			if got := read(t, filepath.Join(dir, "entry")); got != oldContent {
				t.Error("a finished file was touched")
			}
			if err == nil && len(names(t, dir, durable.IsTemp)) > 0 {
				t.Error("reported as swept, but unfinished files are there")
			}
		})
}

// Under a folder's name there is nothing, an empty folder, or all that was
// filled; what somebody else put there stays.
func TestMoveFolderFaults(t *testing.T) {
	eachFault(t, func(dir string) {
		mustFill(t, filepath.Join(dir, "filled"))
		if err := os.Mkdir(filepath.Join(dir, "named"), 0o700); err != nil {
			t.Fatal(err)
		}
	}, func(d durable.Disk, dir string) error {
		return d.MoveFolder(filepath.Join(dir, "filled"), filepath.Join(dir, "named"))
	}, func(t *testing.T, dir string, err error) {
		_, there := os.Stat(filepath.Join(dir, "named", "shop.json"))
		_, left := os.Stat(filepath.Join(dir, "filled", "shop.json"))
		if (there == nil) == (left == nil) || err == nil && there != nil {
			t.Errorf("after %v: under the name %v, under the old one %v", err, there, left)
		}
	})
	dir := t.TempDir()
	filled, taken := mustFill(t, filepath.Join(dir, "filled")), mustFill(t, filepath.Join(dir, "taken"))
	if err := durable.MoveFolder(filled, taken); err == nil {
		t.Error("a folder that holds something was replaced")
	}
	for _, d := range []string{filled, taken} {
		if got := read(t, filepath.Join(d, "shop.json")); got != "x" {
			t.Errorf("%s holds %q", d, got)
		}
	}
}

// mustFill makes a folder with a file in it.
func mustFill(t *testing.T, dir string) string {
	t.Helper()
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	mustWrite(t, filepath.Join(dir, "shop.json"), "x")
	return dir
}

// The order is the promise: content before name, name before folder.
func TestOrderOfCalls(t *testing.T) {
	folder := []string{"fsync folder"}
	if runtime.GOOS == "windows" {
		folder = nil
	}
	tests := []struct {
		name string
		op   func(d durable.Disk, dir string) error
		want []string
	}{
		{"WriteFile", func(d durable.Disk, dir string) error {
			return d.WriteFile(filepath.Join(dir, "f"), []byte("x"), 0o600)
		}, append([]string{"create", "write", "fsync", "close", "rename"}, folder...)},
		{"WriteFile, other permissions", func(d durable.Disk, dir string) error {
			return d.WriteFile(filepath.Join(dir, "f"), []byte("x"), 0o644)
		}, append([]string{"create", "chmod", "write", "fsync", "close", "rename"}, folder...)},
		{"CommitIdentical", func(d durable.Disk, dir string) error {
			return d.CommitIdentical(filepath.Join(dir, "f"), []byte("x"), 0o600)
		}, append([]string{"create", "write", "fsync", "close", "link", "unlink"}, folder...)},
		{"Remove", func(d durable.Disk, dir string) error {
			return d.Remove(filepath.Join(dir, "there"))
		}, append([]string{"unlink"}, folder...)},
		{"MoveFolder", func(d durable.Disk, dir string) error {
			return d.MoveFolder(mustFill(t, filepath.Join(dir, "filled")), filepath.Join(dir, "named"))
		}, append([]string{"unlink", "rename"}, folder...)},
		{"MkdirAll", func(d durable.Disk, dir string) error {
			return d.MkdirAll(filepath.Join(dir, "a", "b"), 0o700)
		}, slices.Concat(folder, []string{"mkdir"}, folder, []string{"mkdir"}, folder)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			mustWrite(t, filepath.Join(dir, "there"), "x")
			var got []string
			d := durable.Through(func(op string, call func() error) error {
				got = append(got, op)
				return call()
			})
			if err := tt.op(d, dir); err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("calls %q, want %q", got, tt.want)
			}
		})
	}
}

func TestDiskWithoutLinks(t *testing.T) {
	d := durable.Through(func(op string, call func() error) error {
		if op == "link" {
			return &os.LinkError{Op: "link", Err: errors.ErrUnsupported}
		}
		return call()
	})
	path := filepath.Join(t.TempDir(), "entry")
	if err := d.CommitIdentical(path, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := read(t, path); got != "x" {
		t.Errorf("holds %q", got)
	}
	if left := names(t, filepath.Dir(path), durable.IsTemp); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

func TestPermissions(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has no permission bits to compare")
	}
	for _, perm := range []fs.FileMode{0o600, 0o640, 0o400} {
		path := filepath.Join(t.TempDir(), "entry")
		if err := durable.WriteFile(path, []byte("x"), perm); err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != perm {
			t.Errorf("permissions %v, want %v", info.Mode().Perm(), perm)
		}
	}
}

func TestStreamedFile(t *testing.T) {
	root := t.TempDir()
	if err := durable.MkdirAll(filepath.Join(root, "shelf"), 0o700); err != nil {
		t.Fatal(err)
	}
	f, err := durable.Create(root, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"one ", "two ", "three"} {
		if _, err := f.Write([]byte(s)); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(root, "shelf", "count")
	if err := f.Commit(path); err != nil {
		t.Fatal(err)
	}
	if err := f.Abort(); err != nil {
		t.Errorf("Abort after Commit: %v", err)
	}
	if err := f.Commit(path); !errors.Is(err, fs.ErrClosed) {
		t.Errorf("second Commit: %v, want %v", err, fs.ErrClosed)
	}
	if got := read(t, path); got != "one two three" {
		t.Errorf("holds %q", got)
	}

	thrown, err := durable.Create(root, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	if err := thrown.Abort(); err != nil {
		t.Fatal(err)
	}
	if left := names(t, root, durable.IsTemp); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

func TestMkdirAllOverFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "taken")
	mustWrite(t, path, "x")
	if err := durable.MkdirAll(path, 0o700); err == nil {
		t.Error("a file passed for a folder")
	}
}
