package folder_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/media"
	"fettlebook/media/durable"
	"fettlebook/media/photodir"
)

var errDisk = errors.New("the disk fails")

// mishap is what becomes of the nth thing that a program does to the disk.
type mishap struct {
	name         string
	stored, dead bool // it was done all the same; nothing is done after it
}

func mishaps() []mishap {
	return []mishap{{name: "fails and is not stored"}, {name: "is stored, and the last", stored: true, dead: true}}
}

// disk is a disk with a mishap at its nth call; due is left above zero where there were fewer.
func (m mishap) disk(n int, due *int) durable.Disk {
	*due = n
	return durable.Through(func(_ string, call func() error) error {
		*due--
		switch {
		case *due > 0, *due < 0 && !m.dead:
			return call()
		case *due == 0 && m.stored:
			return errors.Join(call(), errDisk)
		}
		return errDisk
	})
}

// Whatever is done to the disk when originals are moved or archived fails, in whichever way,
// or is the last that is done: none is lost, and the command asked again does the rest.
func TestCarriedOffAtAnyStep(t *testing.T) {
	journaltest.Long(t)
	f, dir := open(t, found(t)), t.TempDir()
	originals := map[media.Ref][]byte{}
	for _, raw := range [][]byte{[]byte("an original")} {
		ref := media.RefOf(raw)
		originals[ref] = raw
		thumb := []byte("a thumbnail")
		snap := &journal.Snapshot{}
		journal.Attach(snap, journal.Photo{Ref: ref, Thumb: media.RefOf(thumb), Role: "bare seats"})
		_, err := f.Log.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Thumbs: [][]byte{thumb}, Data: snap})
		if err := errors.Join(err, f.Log.Confirm(t.Context(), ref, time.Now())); err != nil {
			t.Fatal(err)
		}
	}
	own, to := folder.PhotosPath(f.Dir), filepath.Join(dir, "disk")
	begin := func() {
		t.Helper()
		for _, gone := range []string{own, to, filepath.Join(f.Dir, folder.PhotosFile)} {
			if err := os.RemoveAll(gone); err != nil {
				t.Fatal(err)
			}
		}
		for ref, raw := range originals {
			at := filepath.Join(own, ref.Hex()[:2], ref.Hex())
			if err := errors.Join(os.MkdirAll(filepath.Dir(at), 0o700), os.WriteFile(at, raw, 0o600)); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, carry := range map[string]func(c folder.Carrier) error{
		"move": func(c folder.Carrier) error { _, err := c.Move(t.Context(), f.Dir, to); return err },
		"archive": func(c folder.Carrier) error {
			_, err := c.Archive(t.Context(), f, to, time.Now().Add(time.Hour))
			return err
		},
	} {
		for _, m := range mishaps() {
			for n, due := 1, 0; due <= 0; n++ {
				at := fmt.Sprintf("%s, step %d %s", name, n, m.name)
				begin()
				err := carry(folder.Carrier{Disk: m.disk(n, &due)})
				switch {
				case due > 0:
					t.Logf("%s: %d steps", name, n-1)
				case err == nil && m.dead:
					t.Errorf("%s: nothing is said of it", at)
				}
				there, err := folder.Originals(f.Dir)
				if err != nil {
					t.Fatalf("%s: %v", at, err)
				}
				for ref := range originals {
					if err := there.Verify(t.Context(), ref); err != nil {
						t.Errorf("%s: %v", at, err)
					}
				}
				is, err := folder.ReadPlaces(f.Dir)
				if err != nil {
					t.Fatalf("%s: %v", at, err)
				}
				done := is.Folder == to && is.Leaving == "" // all but the word of it
				if err := carry(folder.Carrier{}); err != nil && due <= 0 && !done {
					t.Errorf("%s: asked again: %v", at, err)
				}
				for ref := range originals {
					if err := photodir.OpenToRead(to).Verify(t.Context(), ref); err != nil {
						t.Errorf("%s: asked again: %v", at, err)
					}
					if has, _ := photodir.OpenToRead(own).Has(t.Context(), ref); has {
						t.Errorf("%s: asked again: one is left where it was", at)
					}
				}
				if places, err := folder.ReadPlaces(f.Dir); err != nil || places.Leaving != "" {
					t.Errorf("%s: asked again: %+v, %v", at, places, err)
				}
				if t.Failed() {
					return
				}
			}
		}
	}
}
