package thumb_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/journal/journaltest"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"
)

// Photographs by real cameras, from the tests of other modules. They are read
// where the go command keeps its modules and are never copied into this project.
const (
	// All eight orientations of one lying and one standing photograph, and a
	// phone's photograph of twelve million pixels.
	turnedModule = "github.com/h2non/bimg@v1.1.9"
	// Many cameras' Exif parts.
	camerasModule = "github.com/rwcarlsen/goexif@v0.0.0-20190401172101-9e8deecbddbd"
	notesModule   = "github.com/bep/imagemeta@v1.0.1"
)

// photographs lists the JPEG files below dir that the gate lets in.
func photographs(t *testing.T, dirs ...string) map[string][]byte {
	t.Helper()
	found := map[string][]byte{}
	for _, dir := range dirs {
		err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.EqualFold(filepath.Ext(path), ".jpg") {
				return err
			}
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			if _, err := media.Inspect(t.Context(), bytes.NewReader(b), media.DefaultLimits()); err == nil {
				found[path] = b
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return found
}

// Each file is one photograph, stored in eight ways; upright they look the same.
func TestPhotographsComeOutUpright(t *testing.T) {
	dir := filepath.Join(mediatest.Module(t, turnedModule), "testdata", "exif")
	for name, want := range map[string]image.Point{"Landscape": {480, 360}, "Portrait": {360, 480}} {
		upright := photographAt(t, filepath.Join(dir, name+"_1.jpg"))
		for o := 2; o <= 8; o++ {
			t.Run(fmt.Sprintf("%s %d", name, o), func(t *testing.T) {
				b, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("%s_%d.jpg", name, o)))
				if err != nil {
					t.Fatal(err)
				}
				if info, err := thumb.Camera(bytes.NewReader(b), media.JPEG); err != nil || int(info.Orientation) != o {
					t.Errorf("camera notes %+v, %v", info, err)
				}
				img := checked(t, mustMake(t, b))
				if img.Bounds().Size() != want {
					t.Fatalf("size %v, want %v", img.Bounds().Size(), want)
				}
				if d := mediatest.Difference(img, upright); d > sameView {
					t.Errorf("differs from the upright photograph by %.1f of 255", d)
				}
			})
		}
	}
}

func photographAt(t *testing.T, path string) image.Image {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return checked(t, mustMake(t, b))
}

// Orientation, time and view of real photographs against an Exif reader and a
// decoder that this package does not use.
func TestPhotographsAgainstOutsideReader(t *testing.T) {
	photos := photographs(t, mediatest.Module(t, turnedModule), mediatest.Module(t, camerasModule), mediatest.Module(t, notesModule))
	var files []string
	for path := range photos {
		files = append(files, path)
	}
	lying, standing, timed, zoned := 0, 0, 0, 0
	for _, n := range journaltest.Rows(t, 4, mediatest.ReadNotes(t, files)) {
		b := photos[n.SourceFile]
		t.Run(filepath.Base(n.SourceFile), func(t *testing.T) {
			info, err := thumb.Camera(bytes.NewReader(b), media.JPEG)
			if err != nil {
				t.Fatal(err)
			}
			o := n.Orientation
			if o < 1 || o > 8 {
				o = 1
			}
			if int(info.Orientation) != o || info.Taken != n.Taken() {
				t.Errorf("orientation %d, taken %q; exiftool: %d, %q", info.Orientation, info.Taken, o, n.Taken())
			}
			if info.Taken != "" {
				timed++
			}
			if n.OriginalOff != "" {
				zoned++
			}
			img := checked(t, mustMake(t, b))
			full, err := jpeg.Decode(bytes.NewReader(b))
			if err != nil {
				return // a kind that the standard library's decoder does not know
			}
			if d := mediatest.Difference(img, seen{full, o}); d > sameView {
				t.Errorf("differs from the photograph, turned by %d, by %.1f of 255", o, d)
			}
			switch size := img.Bounds().Size(); {
			case n.Taken() == "": // perhaps no camera's
			case size.X > size.Y:
				lying++
			case info.Orientation >= 5: // width and height change places
				standing++
			}
		})
	}
	if lying == 0 || standing == 0 || timed < journaltest.Times(3, 10) || zoned == 0 {
		t.Errorf("%d lying, %d stored on their side, %d with time, %d with zone: too few to show anything", lying, standing, timed, zoned)
	}
	t.Logf("%d photographs: %d lying, %d stored on their side, %d with time, %d with zone", len(files), lying, standing, timed, zoned)
}

// seen is a stored picture as a viewer sees it, by the table at the Exif tag
// Orientation (0x0112): for each point of the view, which stored one is there.
type seen struct {
	image.Image
	orientation int
}

func (s seen) Bounds() image.Rectangle {
	size := s.Image.Bounds().Size()
	if s.orientation >= 5 {
		size.X, size.Y = size.Y, size.X
	}
	return image.Rectangle{Max: size}
}

func (s seen) At(x, y int) color.Color {
	r := s.Image.Bounds()
	right, bottom := r.Dx()-1, r.Dy()-1
	col, row := x, y
	switch s.orientation {
	case 2:
		col = right - x
	case 3:
		col, row = right-x, bottom-y
	case 4:
		row = bottom - y
	case 5:
		col, row = y, x
	case 6:
		col, row = y, bottom-x
	case 7:
		col, row = right-y, bottom-x
	case 8:
		col, row = right-y, x
	}
	return s.Image.At(r.Min.X+col, r.Min.Y+row)
}

// sameView is well above what scaling and JPEG change in a mean over a field, and
// well below what another way of turning does to a photograph.
const sameView = 6.0
