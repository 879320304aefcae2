package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/mediatest"

	"github.com/go-json-experiment/json"
)

// cameraModule holds one lying and one standing photograph in all eight
// orientations and a phone's photograph, in the tests of another project. They
// are read where the go command keeps its modules.
const cameraModule = "github.com/h2non/bimg@v1.1.9"

// TestAddCameraPhotographs takes photographs by real cameras in as a person
// does, and holds what comes out against ExifTool: the thumbnail stands
// upright, the original is untouched, the camera's time is the camera's.
func TestAddCameraPhotographs(t *testing.T) {
	dir := filepath.Join(mediatest.Module(t, cameraModule), "testdata", "exif")
	var files []string
	for _, name := range []string{"Landscape", "Portrait"} {
		for o := 1; o <= 8; o++ {
			files = append(files, filepath.Join(dir, fmt.Sprintf("%s_%d.jpg", name, o)))
		}
	}
	notes := mediatest.ReadNotes(t, files)
	data := filepath.Join(t.TempDir(), "shop")
	must(t, data, "hub", "init", "--shop", "Pin Bore Works", "--by", "io", "--host", "127.0.0.1")
	var opened struct {
		Job string `json:"job"`
	}
	if err := json.Unmarshal(must(t, data, "open", "--plate", "FB 204", "--by", "io", "--json"), &opened); err != nil {
		t.Fatal(err)
	}
	upright := map[string]image.Image{}
	for i, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			photo, thumb := addPhotograph(t, data, opened.Job, file)
			if want := notes[i].Taken(); string(photo.Taken) != want {
				t.Errorf("the camera’s time is %q, ExifTool reads %q", photo.Taken, want)
			}
			kind, _, _ := strings.Cut(filepath.Base(file), "_")
			if notes[i].Orientation == 1 {
				upright[kind] = thumb
			}
			size := thumb.Bounds().Size()
			if lying := size.X > size.Y; lying != (kind == "Landscape") {
				t.Errorf("orientation %d comes out %dx%d", notes[i].Orientation, size.X, size.Y)
			}
			if d := mediatest.Difference(thumb, upright[kind]); d > 6 {
				t.Errorf("orientation %d looks unlike the upright one: %.1f grey steps on average", notes[i].Orientation, d)
			}
		})
	}
	must(t, data, "audit")
}

// addPhotograph adds a photo and reads back what lies in the data folder.
func addPhotograph(t *testing.T, data, job, file string) (journal.Photo, image.Image) {
	t.Helper()
	entry, err := journal.Decode(bytes.TrimSpace(must(t, data, "add", "photo.taken", "--job", job, "--by", "io", "--photo", file+":as the camera saw it", "--json")))
	if err != nil {
		t.Fatal(err)
	}
	photos, err := entry.Photos()
	if err != nil || len(photos) != 1 {
		t.Fatalf("%d photos, %v", len(photos), err)
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	name := photos[0].Ref.Hex()
	kept, err := os.ReadFile(filepath.Join(folder.PhotosPath(data), name[:2], name))
	if err != nil || !bytes.Equal(kept, want) || media.RefOf(want) != photos[0].Ref {
		t.Errorf("the original is not the camera's file (%v)", err)
	}
	db, err := sqlitelog.OpenToRead(t.Context(), folder.DatabasePath(data))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	small, err := db.Thumb(t.Context(), photos[0].Thumb)
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(bytes.NewReader(small))
	if err != nil {
		t.Fatal(err)
	}
	return photos[0], img
}

// must runs a command in this process and returns what it printed.
func must(t *testing.T, data string, args ...string) []byte {
	t.Helper()
	var out, errOut bytes.Buffer
	if code := run(context.WithoutCancel(t.Context()), append([]string{"--data", data}, args...), strings.NewReader(""), &out, &errOut); code != exit.OK {
		t.Fatalf("%v: exit code %d\n%s", args, code, errOut.String())
	}
	return out.Bytes()
}
