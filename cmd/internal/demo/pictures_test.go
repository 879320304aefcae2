package demo

import (
	"bytes"
	"fmt"
	"image"
	"io"
	"math"
	"os"
	"testing"
	"time"

	"fettlebook/testdata/pictures/scene"

	"github.com/bep/imagemeta"
	"github.com/gen2brain/jpegn"
)

// TestPicturesAreWhatIsDrawn draws pictures again and holds them against
// those that the program carries: some of them, or all if FETTLEBOOK_PICTURES
// is "all". Between kinds of machines the last bit of a float may differ, and
// with it a shade here and there.
func TestPicturesAreWhatIsDrawn(t *testing.T) {
	album, err := scene.Album()
	if err != nil {
		t.Fatal(err)
	}
	drawn := map[string]interface{ JPEG(io.Writer) error }{}
	for i, p := range album {
		if i == 0 || i == len(album)/2 || all() {
			drawn["pictures/"+p.Name] = p
		}
	}
	for i, p := range scene.Plates() {
		if i == 5 || all() {
			drawn["darkroom/plates/"+p.Name] = p
		}
	}
	for name, p := range drawn {
		t.Run(name, func(t *testing.T) {
			var again bytes.Buffer
			if err := p.JPEG(&again); err != nil {
				t.Fatal(err)
			}
			carried, err := os.ReadFile(name + ".jpg")
			if err != nil {
				t.Fatal(err)
			}
			if d := meanDifference(t, again.Bytes(), carried); d > 0.5 {
				t.Errorf("it differs from what is drawn by %.2f of 255; draw the pictures again: go run ./testdata/pictures/draw cmd/internal/demo/pictures cmd/internal/demo/darkroom/plates", d)
			}
		})
	}
}

func all() bool { return os.Getenv("FETTLEBOOK_PICTURES") == "all" }

// The darkroom has a file for each plate and no others.
func TestPlates(t *testing.T) {
	plates := scene.Plates()
	for _, p := range plates {
		if _, err := os.Stat("darkroom/plates/" + p.Name + ".jpg"); err != nil {
			t.Error(err)
		}
	}
	if files, err := os.ReadDir("darkroom/plates"); err != nil || len(files) != len(plates) {
		t.Errorf("%d files, %d plates (%v)", len(files), len(plates), err)
	}
}

func meanDifference(t *testing.T, a, b []byte) float64 {
	t.Helper()
	var pix [2]*image.RGBA
	for i, raw := range [][]byte{a, b} {
		img, err := jpegn.Decode(bytes.NewReader(raw), &jpegn.Options{ToRGBA: true})
		if err != nil {
			t.Fatal(err)
		}
		pix[i] = img.(*image.RGBA)
	}
	if pix[0].Rect != pix[1].Rect {
		t.Fatalf("%v and %v pixels", pix[0].Rect, pix[1].Rect)
	}
	sum := 0.0
	for i, v := range pix[0].Pix {
		sum += math.Abs(float64(v) - float64(pix[1].Pix[i]))
	}
	return sum / float64(len(pix[0].Pix))
}

// TestPictures: the program carries the album's pictures and no others, the
// story uses them all, and they are small.
func TestPictures(t *testing.T) {
	steps, err := readStory(story)
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, s := range steps {
		for _, shot := range s.Shots {
			if used[shot.Picture] {
				t.Errorf("the story shows %s twice", shot.Picture)
			}
			used[shot.Picture] = true
		}
	}
	album, err := scene.Album()
	if err != nil {
		t.Fatal(err)
	}
	taken := time.Date(2026, 5, 12, 9, 14, 33, 0, time.FixedZone("", -(9*60+30)*60))
	all := 0
	for _, p := range album {
		if !used[p.Name] {
			t.Errorf("the story does not show %s", p.Name)
		}
		raw, err := Picture(p.Name, taken)
		if err != nil {
			t.Error(err)
		}
		all += len(raw)
		for tag, want := range map[string]string{"DateTimeOriginal": "2026:05:12 09:14:33", "OffsetTimeOriginal": "-09:30"} {
			if got := exif(t, raw)[tag]; got != want {
				t.Errorf("%s: %s is %q, want %q", p.Name, tag, got, want)
			}
		}
	}
	files, err := pictures.ReadDir("pictures")
	if err != nil || len(files) != len(album) || len(used) != len(album) {
		t.Errorf("%d files, %d pictures in the album, %d in the story (%v)", len(files), len(album), len(used), err)
	}
	if all > 3<<20 {
		t.Errorf("the pictures have %d bytes", all)
	}
	if _, err := Picture("polished-1", taken); err == nil {
		t.Error("a picture that is not there: no error")
	}
}

// exif reads the tags back with a reader that is not ours.
func exif(t *testing.T, raw []byte) map[string]string {
	t.Helper()
	tags := map[string]string{}
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(raw), ImageFormat: imagemeta.JPEG, Sources: imagemeta.EXIF,
		HandleTag: func(tag imagemeta.TagInfo) error { tags[tag.Tag] = fmt.Sprint(tag.Value); return nil },
		Warnf:     func(format string, args ...any) { t.Errorf("imagemeta warns: "+format, args...) },
	})
	if err != nil {
		t.Fatal(err)
	}
	return tags
}
