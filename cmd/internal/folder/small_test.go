package folder_test

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/cmd/internal/folder"
	"fettlebook/media/mediatest"
)

// The thumbnails of the photographs that are being taken are made once; those
// of long ago are made anew.
func TestThumbnailsAreMadeOnce(t *testing.T) {
	f := open(t, found(t))
	taken := func(seed uint64) []byte { return mediatest.JPEG(mediatest.Noise(64, 48, seed), 80, nil) }
	first, thumb, err := f.Snap(t.Context(), bytes.NewReader(taken(1)), "")
	if err != nil {
		t.Fatal(err)
	}
	// What cannot be decoded any more shows whether it is.
	err = filepath.WalkDir(folder.PhotosPath(f.Dir), func(file string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		return os.WriteFile(file, []byte("not a picture"), 0o600)
	})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		again, err := f.Thumb(t.Context(), first.Ref)
		if err != nil || !bytes.Equal(again, thumb) {
			t.Fatalf("the thumbnail is made again: %v", err)
		}
		again[0] = 0 // it is the caller's
	}
	for seed := range uint64(40) {
		if _, _, err := f.Snap(t.Context(), bytes.NewReader(taken(100+seed)), ""); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := f.Thumb(t.Context(), first.Ref); err == nil {
		t.Error("thumbnails are remembered without end")
	}
}
