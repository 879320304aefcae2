package thumb_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"
)

// inspect gives the Photo that the gate would.
func inspect(t testing.TB, b []byte) media.Photo {
	t.Helper()
	p, err := media.Inspect(t.Context(), bytes.NewReader(b), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustMake(t testing.TB, b []byte) thumb.Thumb {
	t.Helper()
	small, err := thumb.Make(t.Context(), bytes.NewReader(b), inspect(t, b))
	if err != nil {
		t.Fatal(err)
	}
	return small
}

// checked decodes a thumbnail with the standard library and compares it with
// what it says about itself and with the promises of the package.
func checked(t *testing.T, small thumb.Thumb) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(small.Bytes))
	if err != nil {
		t.Fatalf("thumbnail: %v", err)
	}
	if size := img.Bounds().Size(); size != image.Pt(small.Width, small.Height) {
		t.Errorf("is %v, says %dx%d", size, small.Width, small.Height)
	}
	if max(small.Width, small.Height) > thumb.MaxSide || len(small.Bytes) > thumb.MaxBytes {
		t.Errorf("%dx%d pixels, %d bytes: over the limits", small.Width, small.Height, len(small.Bytes))
	}
	if small.Ref != media.RefOf(small.Bytes) {
		t.Error("its hash is not that of its bytes")
	}
	if small.Version != thumb.Version {
		t.Errorf("version %d, want %d", small.Version, thumb.Version)
	}
	for _, note := range []string{"Exif", "\xff\xe1", "xap"} {
		if bytes.Contains(small.Bytes[:min(400, len(small.Bytes))], []byte(note)) {
			t.Errorf("notes of the camera (%q) are in the thumbnail", note)
		}
	}
	return img
}

// near allows for what JPEG does to a plain colour.
func near(a, b color.Color) bool {
	ar, ag, ab, _ := a.RGBA()
	br, bg, bb, _ := b.RGBA()
	off := func(x, y uint32) bool { return math.Abs(float64(x)-float64(y)) > 20*257 }
	return !off(ar, br) && !off(ag, bg) && !off(ab, bb)
}

func wantCorners(t *testing.T, img image.Image) {
	t.Helper()
	r := img.Bounds()
	in := min(r.Dx(), r.Dy()) / 6 // the middle of a corner's square
	for _, c := range []struct {
		name string
		x, y int
		want color.Color
	}{
		{"top left", r.Min.X + in, r.Min.Y + in, mediatest.TopLeft},
		{"top right", r.Max.X - 1 - in, r.Min.Y + in, mediatest.TopRight},
		{"bottom left", r.Min.X + in, r.Max.Y - 1 - in, mediatest.BottomLeft},
		{"bottom right", r.Max.X - 1 - in, r.Max.Y - 1 - in, mediatest.BottomRight},
		{"middle", (r.Min.X + r.Max.X) / 2, (r.Min.Y + r.Max.Y) / 2, color.Gray{128}},
	} {
		if got := img.At(c.x, c.y); !near(got, c.want) {
			t.Errorf("%s is %v, want %v", c.name, got, c.want)
		}
	}
}

func TestUprightInAllOrientations(t *testing.T) {
	views := map[string]image.Image{"lying": mediatest.Corners(750, 500), "standing": mediatest.Corners(500, 750)}
	sizes := map[string]image.Point{"lying": {480, 320}, "standing": {320, 480}}
	for name, view := range views {
		for o := 1; o <= 8; o++ {
			notes := mediatest.Exif(mediatest.ExifTags{Orientation: o, Location: true})
			stored := mediatest.Stored(view, o)
			for format, b := range map[string][]byte{"JPEG": mediatest.JPEG(stored, 92, notes), "PNG": mediatest.PNG(stored, notes)} {
				t.Run(fmt.Sprintf("%s %s orientation %d", format, name, o), func(t *testing.T) {
					small := mustMake(t, b)
					img := checked(t, small)
					if img.Bounds().Size() != sizes[name] {
						t.Errorf("size %v, want %v", img.Bounds().Size(), sizes[name])
					}
					wantCorners(t, img)
				})
			}
		}
	}
}

func TestSizes(t *testing.T) {
	tests := []struct{ w, h, wantW, wantH int }{
		{1, 1, 1, 1},
		{480, 480, 480, 480},
		{479, 3, 479, 3}, // never enlarged
		{481, 481, 480, 480},
		{2016, 1512, 480, 360}, // decoded at a half
		{200, 3000, 32, 480},   // at a quarter
		{5760, 100, 480, 8},    // at an eighth
		{100, 5760, 8, 480},
		{9000, 1, 480, 1}, // no side vanishes
		{1921, 1080, 480, 270},
		{960, 540, 480, 270},
		{719, 719, 480, 480},
		{1441, 1081, 480, 360},
	}
	for _, tt := range tests {
		t.Run(fmt.Sprintf("%dx%d", tt.w, tt.h), func(t *testing.T) {
			view := mediatest.Corners(tt.w, tt.h)
			for format, b := range map[string][]byte{"JPEG": mediatest.JPEG(view, 90, nil), "PNG": mediatest.PNG(view, nil)} {
				small := mustMake(t, b)
				img := checked(t, small)
				if small.Width != tt.wantW || small.Height != tt.wantH {
					t.Errorf("%s: %dx%d, want %dx%d", format, small.Width, small.Height, tt.wantW, tt.wantH)
				}
				if min(tt.wantW, tt.wantH) >= 100 {
					wantCorners(t, img)
				}
			}
		})
	}
}

// Pure noise cannot be squeezed at full size into the limit.
func TestNoiseFits(t *testing.T) {
	for _, side := range []int{480, 1000} {
		small := mustMake(t, mediatest.JPEG(mediatest.Noise(side, side, 1), 95, nil))
		checked(t, small)
		if small.Width < 240 {
			t.Errorf("noise of %d pixels a side came down to %d", side, small.Width)
		}
	}
}

func TestTransparentPartsAreWhite(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 600, 600)) // all of it transparent black
	for y := 200; y < 400; y++ {
		for x := 200; x < 400; x++ {
			img.SetNRGBA(x, y, mediatest.TopLeft)
		}
	}
	got := checked(t, mustMake(t, mediatest.PNG(img, nil)))
	if !near(got.At(20, 20), color.White) {
		t.Errorf("a transparent part is %v, want white", got.At(20, 20))
	}
	if !near(got.At(240, 240), mediatest.TopLeft) {
		t.Errorf("the rest is %v, want %v", got.At(240, 240), mediatest.TopLeft)
	}
}

func TestOtherColourModels(t *testing.T) {
	gray := image.NewGray(image.Rect(0, 0, 600, 400))
	deep := image.NewNRGBA64(image.Rect(0, 0, 600, 400))
	plan := image.NewPaletted(image.Rect(0, 0, 600, 400), color.Palette{color.White, mediatest.BottomRight})
	for i := range gray.Pix {
		gray.Pix[i] = 200
	}
	for y := range 400 {
		for x := range 600 {
			deep.Set(x, y, mediatest.TopRight)
			plan.SetColorIndex(x, y, 1)
		}
	}
	tests := map[string]struct {
		b    []byte
		want color.Color
	}{
		"grey JPEG":       {mediatest.JPEG(gray, 90, nil), color.Gray{200}},
		"grey PNG":        {mediatest.PNG(gray, nil), color.Gray{200}},
		"PNG, 16 bits":    {mediatest.PNG(deep, nil), mediatest.TopRight},
		"PNG, palette":    {mediatest.PNG(plan, nil), mediatest.BottomRight},
		"colour as it is": {mediatest.JPEG(deep, 90, nil), mediatest.TopRight},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			if got := checked(t, mustMake(t, tt.b)).At(240, 160); !near(got, tt.want) {
				t.Errorf("%v, want %v", got, tt.want)
			}
		})
	}
}

func TestSameBytesEachTime(t *testing.T) {
	b := mediatest.JPEG(mediatest.Noise(1500, 1100, 5), 90, nil)
	first := mustMake(t, b)
	for range 5 {
		if again := mustMake(t, b); !bytes.Equal(again.Bytes, first.Bytes) {
			t.Fatal("the same photo gave another thumbnail")
		}
	}
}

func TestFromOriginal(t *testing.T) {
	store := mediatest.NewMemory()
	b := mediatest.JPEG(mediatest.Stored(mediatest.Corners(750, 500), 8), 92, mediatest.Exif(mediatest.ExifTags{
		Orientation: 8, DateTimeOriginal: "2026:03:02 08:12:44", OffsetOriginal: "+01:00",
	}))
	photo, err := media.Receive(t.Context(), store, bytes.NewReader(b), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	if photo.Width != 500 || photo.Height != 750 {
		t.Errorf("stored as %dx%d, want 500x750", photo.Width, photo.Height)
	}
	small, info, err := thumb.FromOriginal(t.Context(), store, photo)
	if err != nil {
		t.Fatal(err)
	}
	if want := (thumb.CameraInfo{Orientation: 8, Taken: "2026-03-02T08:12:44+01:00"}); info != want {
		t.Errorf("camera notes %+v, want %+v", info, want)
	}
	wantCorners(t, checked(t, small))

	absent := media.Photo{Ref: media.RefOf([]byte("another")), Format: media.JPEG}
	if _, _, err := thumb.FromOriginal(t.Context(), store, absent); !errors.Is(err, media.ErrNotHere) {
		t.Errorf("absent: %v, want %v", err, media.ErrNotHere)
	}
	over, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := thumb.FromOriginal(over, store, photo); !errors.Is(err, context.Canceled) {
		t.Errorf("context at its end: %v, want %v", err, context.Canceled)
	}
}

// Whole by the gate's measure, but no decoder can make it out.
func TestUndecodable(t *testing.T) {
	b := mediatest.PNG(mediatest.Corners(16, 16), nil)
	taller := mediatest.HeaderPNG(16, 4000) // has rows for 16 only
	for name, tt := range map[string]struct {
		b []byte
		p media.Photo
	}{
		"PNG with rows missing": {taller, inspect(t, taller)},
		"no format":             {b, media.Photo{}},
		"PNG passed for a JPEG": {b, media.Photo{Format: media.JPEG, Bytes: int64(len(b)), Width: 16, Height: 16}},
	} {
		t.Run(name, func(t *testing.T) {
			if small, err := thumb.Make(t.Context(), bytes.NewReader(tt.b), tt.p); err == nil {
				t.Errorf("made %dx%d of it", small.Width, small.Height)
			}
		})
	}
}
