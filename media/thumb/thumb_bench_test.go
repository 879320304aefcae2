package thumb_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"
	"time"

	"github.com/disintegration/imaging"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
	"fettlebook/media/thumb"
)

// likeAPhoto is a 12-million-pixel JPEG of about the length that a phone writes:
// soft gradients, some edges, and a grain as of a small sensor.
func likeAPhoto() []byte {
	const w, h = 4032, 3024
	grain := mediatest.Noise(512, 512, 7)
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			fx, fy := float64(x)/w, float64(y)/h
			light := 90 + 70*math.Sin(5*fx+2*math.Sin(3*fy)) + 40*math.Cos(11*fy*fx)
			if (x/97+y/61)%7 == 0 {
				light *= 0.7
			}
			g := float64(grain.Pix[grain.PixOffset(x%512, (y+x/512*37)%512)])/255*18 - 9
			img.SetNRGBA(x, y, color.NRGBA{clip(light + g), clip(light*0.9 + g + 10), clip(light*0.7 + g + 25), 255})
		}
	}
	return mediatest.JPEG(img, 90, mediatest.Exif(mediatest.ExifTags{
		Orientation:      6,
		DateTimeOriginal: "2026:03:02 08:12:44",
	}))
}

func clip(v float64) uint8 { return uint8(max(0, min(255, v))) }

// BenchmarkReceivePhoto takes one photo in, as a tablet does: through the gate to
// the disk, its camera notes, its thumbnail. "ratio" compares that with decoding
// it by image/jpeg and scaling it by imaging.Fit alone, in the same run.
func BenchmarkReceivePhoto(b *testing.B) {
	original := likeAPhoto()
	b.SetBytes(int64(len(original)))
	var ours, plain time.Duration
	for b.Loop() {
		b.StopTimer()
		dir, err := photodir.Open(b.TempDir())
		if err != nil {
			b.Fatal(err)
		}
		b.StartTimer()

		start := time.Now()
		photo, err := media.Receive(b.Context(), dir, bytes.NewReader(original), media.DefaultLimits())
		if err != nil {
			b.Fatal(err)
		}
		small, info, err := thumb.FromOriginal(b.Context(), dir, photo)
		if err != nil || info.Orientation != 6 || small.Width != 360 || small.Height != 480 {
			b.Fatalf("%v, %dx%d, %v", info, small.Width, small.Height, err)
		}
		ours += time.Since(start)

		b.StopTimer()
		start = time.Now()
		img, err := jpeg.Decode(bytes.NewReader(original))
		if err != nil {
			b.Fatal(err)
		}
		plainSmall := imaging.Fit(img, thumb.MaxSide, thumb.MaxSide, imaging.Lanczos)
		plain += time.Since(start)
		if plainSmall.Rect.Dx() != 480 { // and keep the compiler from dropping it
			b.Fatal(plainSmall.Rect)
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(ours)/float64(plain), "ratio")
	b.ReportMetric(float64(len(original))/(1<<20), "MB/photo")
}
