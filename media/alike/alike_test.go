package alike_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"fettlebook/media"
	"fettlebook/media/alike"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"

	"github.com/disintegration/imaging"
)

// scene is a picture in which there is something to be seen, with the grain of a
// camera over it.
func scene(width, height int, seed uint64) *image.NRGBA {
	img := imaging.Resize(mediatest.Noise(7, 5, seed), width, height, imaging.CatmullRom)
	dice := rand.New(rand.NewPCG(seed, 1))
	for i := range img.Pix {
		if i%4 != 3 {
			img.Pix[i] = byte(min(max(int(img.Pix[i])+dice.IntN(9)-4, 0), 255))
		}
	}
	return img
}

// snap takes a picture in: it returns the copy without notes, and the thumbnail.
func snap(t testing.TB, original []byte) (copied, small []byte) {
	t.Helper()
	store := mediatest.NewMemory()
	p, err := media.Receive(t.Context(), store, bytes.NewReader(original), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	made, notes, err := thumb.FromOriginal(t.Context(), store, p)
	if err != nil {
		t.Fatal(err)
	}
	parts, _, err := media.Strip(original, p.Format, int(notes.Orientation))
	if err != nil {
		t.Fatal(err)
	}
	if copied, err = io.ReadAll(parts); err != nil {
		t.Fatal(err)
	}
	return copied, made.Bytes
}

// kinds are pictures as cameras and programs write them, by their kind.
func kinds(t testing.TB, seed uint64) map[string][]byte {
	list := make(map[string][]byte)
	for o := 1; o <= 8; o++ {
		exif := mediatest.Exif(mediatest.ExifTags{Orientation: o, Location: true})
		list[fmt.Sprintf("large, turned %d", o)] = mediatest.JPEG(mediatest.Stored(scene(700, 500, seed), o), 90, exif)
		list[fmt.Sprintf("small, turned %d", o)] = mediatest.JPEG(mediatest.Stored(scene(200, 140, seed), o), 90, exif)
		list[fmt.Sprintf("PNG, turned %d", o)] = mediatest.PNG(mediatest.Stored(scene(200, 140, seed), o), exif)
	}
	grey := image.NewGray(image.Rect(0, 0, 701, 503))
	from := scene(701, 503, seed)
	for y := range 503 {
		for x := range 701 {
			grey.Set(x, y, from.At(x, y))
		}
	}
	list["grey"] = mediatest.JPEG(grey, 80, nil)
	list["coarse"] = mediatest.JPEG(scene(1200, 900, seed), 12, nil)
	list["wide"] = mediatest.JPEG(scene(2000, 150, seed), 90, nil)
	list["tiny"] = mediatest.JPEG(scene(24, 16, seed), 90, nil)
	return list
}

// A copy is like its own thumbnail, whatever kind of picture it is, and unlike
// that of another.
func TestSame(t *testing.T) {
	mine, others := kinds(t, 1), kinds(t, 2)
	for name, original := range mine {
		copied, small := snap(t, original)
		if same, err := alike.Same(t.Context(), copied, small); err != nil || !same {
			t.Errorf("%s: it is like its own thumbnail: %v, %v", name, same, err)
		}
		other, _ := snap(t, others[name])
		if same, err := alike.Same(t.Context(), other, small); err != nil || same {
			t.Errorf("%s: another one is like its thumbnail: %v, %v", name, same, err)
		}
	}
}

// Dark and dull pictures are told apart too, and one that was encoded anew or
// made smaller is still the same.
func TestSameWhatever(t *testing.T) {
	for name, change := range map[string]func(*image.NRGBA) *image.NRGBA{
		"dark":   func(img *image.NRGBA) *image.NRGBA { return imaging.AdjustBrightness(img, -80) },
		"dull":   func(img *image.NRGBA) *image.NRGBA { return imaging.AdjustContrast(img, -85) },
		"bright": func(img *image.NRGBA) *image.NRGBA { return imaging.AdjustBrightness(img, 70) },
	} {
		copied, small := snap(t, mediatest.JPEG(change(scene(1000, 760, 1)), 90, nil))
		other, _ := snap(t, mediatest.JPEG(change(scene(1000, 760, 2)), 90, nil))
		img, err := jpeg.Decode(bytes.NewReader(copied))
		if err != nil {
			t.Fatal(err)
		}
		for how, again := range map[string][]byte{"as it is": copied, "encoded anew": mediatest.JPEG(img, 60, nil), "made smaller": mediatest.JPEG(imaging.Resize(img, 700, 0, imaging.Box), 85, nil)} {
			if same, err := alike.Same(t.Context(), again, small); err != nil || !same {
				t.Errorf("%s, %s: %v, %v", name, how, same, err)
			}
		}
		if same, err := alike.Same(t.Context(), other, small); err != nil || same {
			t.Errorf("%s: another one: %v, %v", name, same, err)
		}
	}
}

// Mirrored, cut or half of another one is not the same: not by what it shows,
// and not by what it says about how it is to be turned.
func TestNotTheSame(t *testing.T) {
	original := mediatest.JPEG(scene(1000, 760, 1), 90, nil)
	_, small := snap(t, original)
	img := scene(1000, 760, 1)
	half := imaging.Paste(img, imaging.Crop(scene(1000, 760, 2), image.Rect(500, 0, 1000, 760)), image.Pt(500, 0))
	for name, other := range map[string][]byte{
		"mirrored":        mediatest.JPEG(imaging.FlipH(img), 90, nil),
		"turned":          mediatest.JPEG(imaging.Rotate180(img), 90, nil),
		"cut":             mediatest.JPEG(imaging.Crop(img, image.Rect(0, 0, 700, 532)), 90, nil),
		"cut off":         original[:len(original)/2],
		"half of another": mediatest.JPEG(half, 90, nil),
		"in other colours": mediatest.JPEG(imaging.AdjustFunc(img, func(c color.NRGBA) color.NRGBA {
			c.R, c.B = c.B, c.R
			return c
		}), 90, nil),
	} {
		if same, err := alike.Same(t.Context(), other, small); err != nil || same {
			t.Errorf("%s: %v, %v", name, same, err)
		}
	}
	// To be shown mirrored, said as Strip says it and in another way.
	plain, _ := snap(t, mediatest.JPEG(scene(1000, 760, 1), 90, mediatest.Exif(mediatest.ExifTags{Orientation: 2})))
	if same, err := alike.Same(t.Context(), plain, small); err != nil || same {
		t.Errorf("to be mirrored: %v, %v", same, err)
	}
	if _, err := alike.Same(t.Context(), mediatest.JPEG(scene(1000, 760, 1), 90, mediatest.Exif(mediatest.ExifTags{Orientation: 2, Location: true})), small); !errors.Is(err, alike.ErrPicture) {
		t.Errorf("with other notes: %v", err)
	}
}

// What other programs wrote is read as the decoder reads it: with restarts,
// progressive, with colours of every resolution.
func TestOthersPictures(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(mediatest.Module(t, "github.com/gen2brain/jpegn@v0.6.0"), "testdata", "*.jp*g"))
	if err != nil || len(files) < 5 {
		t.Fatalf("%d pictures, %v", len(files), err)
	}
	looked := 0
	for _, name := range files {
		raw, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		store := mediatest.NewMemory()
		p, err := media.Receive(t.Context(), store, bytes.NewReader(raw), media.DefaultLimits())
		if err != nil {
			continue // not let in
		}
		made, notes, err := thumb.FromOriginal(t.Context(), store, p)
		if err != nil {
			continue
		}
		parts, _, err := media.Strip(raw, p.Format, int(notes.Orientation))
		if err != nil {
			continue
		}
		copied, err := io.ReadAll(parts)
		if err != nil {
			t.Fatal(err)
		}
		looked++
		if same, err := alike.Same(t.Context(), copied, made.Bytes); err != nil || !same {
			t.Errorf("%s (%d by %d): %v, %v", filepath.Base(name), p.Width, p.Height, same, err)
		}
		means, err := alike.Blocks(copied)
		if err != nil {
			t.Logf("%s: %v", filepath.Base(name), err)
			continue
		}
		if far := alike.Apart(copied, means); far > 5 && min(p.Width, p.Height) >= 100 { // smaller ones have few blocks
			t.Errorf("%s (%d by %d): its blocks are %.1f apart from its pixels", filepath.Base(name), p.Width, p.Height, far)
		}
	}
	t.Logf("%d pictures", looked)
}

func TestWhatCannotBeCompared(t *testing.T) {
	copied, small := snap(t, mediatest.JPEG(scene(1000, 760, 1), 90, nil))
	narrow, ribbon := snap(t, mediatest.JPEG(scene(2000, 30, 1), 90, nil))
	for name, c := range map[string]struct {
		copied, small []byte
		want          error
	}{
		"not a picture":            {[]byte("hello"), small, alike.ErrPicture},
		"a header alone":           {copied[:300], small, alike.ErrPicture},
		"a thumbnail that is none": {copied, []byte("hello"), alike.ErrThumb},
		"a large thumbnail":        {copied, mediatest.HeaderJPEG(4000, 3000), alike.ErrThumb},
		"a ribbon":                 {narrow, ribbon, alike.ErrKind},
		"a large PNG":              {mediatest.HeaderPNG(9000, 9000), small, alike.ErrKind},
	} {
		if _, err := alike.Same(t.Context(), c.copied, c.small); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := alike.Same(ctx, copied, small); !errors.Is(err, context.Canceled) || errors.Is(err, alike.ErrThumb) {
		t.Errorf("cancelled: %v", err)
	}
}

// A few bytes that claim to be the largest picture there may be cost little
// memory, and many such pictures little time.
func TestClaims(t *testing.T) {
	_, small := snap(t, mediatest.JPEG(scene(700, 500, 1), 90, nil))
	claims := mediatest.HeaderJPEG(10000, 10000)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if same, err := alike.Same(t.Context(), claims, small); err != nil || same {
		t.Errorf("%v, %v", same, err)
	}
	runtime.ReadMemStats(&after)
	if used := (after.TotalAlloc - before.TotalAlloc) >> 20; used > 32 {
		t.Errorf("it took %d MiB", used)
	}
	var l alike.Looker
	plain := mediatest.JPEG(mediatest.Noise(600, 500, 1), 50, nil)
	looked := 0
	for ; looked < 200000; looked++ {
		if _, err := l.Spend(600 * 500 * 100); errors.Is(err, alike.ErrKind) {
			break
		}
	}
	if _, err := l.Copy(t.Context(), plain); !errors.Is(err, alike.ErrKind) || looked > 1000 {
		t.Errorf("after %d costly pictures one more is looked at: %v", looked, err)
	}
}

// Whatever the bytes are, it ends, and does not fall.
func FuzzSame(f *testing.F) {
	copied, small := snap(f, mediatest.JPEG(scene(700, 500, 1), 30, nil))
	f.Add(copied)
	f.Add(small)
	f.Add(mediatest.PNG(scene(40, 30, 1), nil))
	f.Add([]byte(strings.Repeat("\xff\xda", 10)))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if same, err := alike.Same(t.Context(), raw, small); err != nil && same {
			t.Error("it is the same, and an error")
		}
		_, _ = alike.Blocks(raw)
	})
}
