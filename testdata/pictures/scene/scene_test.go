package scene_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bep/imagemeta"
	"github.com/disintegration/imaging"
	"github.com/gen2brain/jpegn"

	"fettlebook/testdata/pictures/scene"
)

func taken() time.Time {
	return time.Date(2026, time.May, 12, 9, 14, 33, 0, time.FixedZone("", 2*60*60))
}

func shot(stage scene.Stage, seed uint64) scene.Shot {
	return scene.Shot{Stage: stage, Corner: "LF", Casting: "K7-204", Plate: "HX 41 TRE", Taken: taken(), Seed: seed, Level: 0.6}
}

func draw(t testing.TB, s scene.Shot) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := s.JPEG(&b); err != nil {
		t.Fatalf("draw %s: %v", s.Stage, err)
	}
	return b.Bytes()
}

// upright decodes a picture the way a person looks at it.
func upright(t testing.TB, b []byte) *image.RGBA {
	t.Helper()
	img, err := jpegn.Decode(bytes.NewReader(b), &jpegn.Options{ToRGBA: true, AutoRotate: true})
	if err != nil {
		t.Fatal(err)
	}
	return img.(*image.RGBA)
}

// stages are those that the tests draw. Under the race detector, which draws ten times slower, a few do: what runs at the
// same time is the same in every picture.
func stages() []scene.Stage {
	if underRace {
		return []scene.Stage{scene.Received, scene.Soak, scene.Washers}
	}
	return scene.Stages()
}

// album is every stage once, drawn a single time for all tests.
var album = sync.OnceValues(func() (map[scene.Stage][]byte, error) {
	out := make(map[scene.Stage][]byte)
	for i, stage := range stages() {
		var b bytes.Buffer
		if err := shot(stage, uint64(i)).JPEG(&b); err != nil {
			return nil, err
		}
		out[stage] = b.Bytes()
	}
	return out, nil
})

func TestEveryStage(t *testing.T) {
	pictures, err := album()
	if err != nil {
		t.Fatal(err)
	}
	for i, stage := range stages() {
		t.Run(string(stage), func(t *testing.T) {
			b := pictures[stage]
			img, err := jpeg.Decode(bytes.NewReader(b))
			if err != nil {
				t.Fatalf("image/jpeg does not read it: %v", err)
			}
			if size := img.Bounds().Size(); size != image.Pt(960, 720) && size != image.Pt(720, 960) {
				t.Errorf("%v pixels, want 960×720 or 720×960", size)
			}
			if kb := len(b) / 1024; kb < 20 || kb > 120 {
				t.Errorf("%d KiB, want 20 to 120", kb)
			}
			if again := draw(t, shot(stage, uint64(i))); !bytes.Equal(b, again) {
				t.Error("the same shot gave other bytes")
			}
		})
	}
}

func TestSeedHoldsTheCameraDifferently(t *testing.T) {
	a, b := shot(scene.Seats, 1), shot(scene.Seats, 2)
	if d := difference(t, a, b); d < 3 {
		t.Errorf("two seeds differ by %.2f of 255, want 3 or more", d)
	}
}

func TestUnknownStage(t *testing.T) {
	err := scene.Shot{Stage: "polished"}.JPEG(io.Discard)
	if err == nil || !strings.Contains(err.Error(), `"polished"`) {
		t.Errorf("got %v, want a sentence that names the stage", err)
	}
}

// exif reads the tags back with a reader that is not ours.
func exif(t *testing.T, b []byte) map[string]string {
	t.Helper()
	out := make(map[string]string)
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(b), ImageFormat: imagemeta.JPEG, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag:       func(tag imagemeta.TagInfo) error { out[tag.Tag] = fmt.Sprint(tag.Value); return nil },
		Warnf:           func(format string, args ...any) { t.Errorf("imagemeta warns: "+format, args...) },
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestExif(t *testing.T) {
	west := time.Date(2025, time.December, 31, 23, 59, 1, 0, time.FixedZone("", -(9*60+30)*60))
	for _, c := range []struct {
		stage          scene.Stage
		seed           uint64
		taken          time.Time
		orientation    string
		stored         image.Point
		original, zone string
	}{
		{scene.Masked, 1, taken(), "1", image.Pt(960, 720), "2026:05:12 09:14:33", "+02:00"},
		{scene.Soak, 2, taken(), "1", image.Pt(720, 960), "2026:05:12 09:14:33", "+02:00"},
		{scene.Soak, 3, west, "6", image.Pt(960, 720), "2025:12:31 23:59:01", "-09:30"},
		{scene.Bleed, 5, taken().UTC(), "6", image.Pt(960, 720), "2026:05:12 07:14:33", "+00:00"},
	} {
		t.Run(fmt.Sprintf("%s %d", c.stage, c.seed), func(t *testing.T) {
			s := shot(c.stage, c.seed)
			s.Taken = c.taken
			b := draw(t, s)
			got := exif(t, b)
			for tag, want := range map[string]string{
				"Orientation": c.orientation, "DateTimeOriginal": c.original, "OffsetTimeOriginal": c.zone,
			} {
				if got[tag] != want {
					t.Errorf("%s is %q, want %q", tag, got[tag], want)
				}
			}
			conf, err := jpeg.DecodeConfig(bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			if size := image.Pt(conf.Width, conf.Height); size != c.stored {
				t.Errorf("stored as %v, want %v", size, c.stored)
			}
		})
	}
}

// A portrait picture has its card in the lower half, whichever way it is stored.
func TestSidewaysIsTurnedTheRightWay(t *testing.T) {
	for _, stage := range []scene.Stage{scene.Soak, scene.Bleed} {
		for _, seed := range []uint64{10, 11} {
			img := upright(t, draw(t, shot(stage, seed)))
			if img.Rect.Size() != image.Pt(720, 960) {
				t.Fatalf("%s %d: upright size %v", stage, seed, img.Rect.Size())
			}
			card := image.Rect(66, 798, 276, 900)
			stock := countPixels(img.SubImage(card).(*image.RGBA), func(c color.RGBA) bool {
				warmth := int(c.R) - int(c.B)
				return c.G > 140 && warmth > 8 && warmth < 60
			})
			if share := float64(stock) / float64(card.Dx()*card.Dy()); share < 0.5 {
				t.Errorf("%s seed %d: card covers %.2f of its place, want more than half", stage, seed, share)
			}
		}
	}
}

func countPixels(img *image.RGBA, is func(color.RGBA) bool) int {
	n := 0
	for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
		for x := img.Rect.Min.X; x < img.Rect.Max.X; x++ {
			if is(img.RGBAAt(x, y)) {
				n++
			}
		}
	}
	return n
}

// Stages differ at the size of a thumbnail: by the mean difference of a few hundred averaged patches.
func TestStagesLookDifferent(t *testing.T) {
	pictures, err := album()
	if err != nil {
		t.Fatal(err)
	}
	small := make(map[scene.Stage]*image.NRGBA)
	for stage, b := range pictures {
		small[stage] = imaging.Resize(upright(t, b), 20, 20, imaging.Box)
	}
	all := stages()
	for i, a := range all {
		for _, b := range all[:i] {
			sum := 0
			for k, v := range small[a].Pix {
				sum += max(int(v)-int(small[b].Pix[k]), int(small[b].Pix[k])-int(v))
			}
			if mean := float64(sum) / float64(20*20*3); mean < 12 {
				t.Errorf("%s and %s differ by %.1f of 255, want 12 or more", a, b, mean)
			}
		}
	}
}

func BenchmarkJPEG(b *testing.B) {
	for _, stage := range scene.Stages() {
		b.Run(string(stage), func(b *testing.B) {
			for i := range b.N {
				if err := shot(stage, uint64(i)).JPEG(io.Discard); err != nil {
					b.Fatal(err)
				}
			}
			const allowed = 400 * time.Millisecond
			b.ReportMetric(float64(b.Elapsed())/float64(b.N)/float64(allowed), "of-allowed-time")
		})
	}
}
