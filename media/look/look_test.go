package look_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"pgregory.net/rapid"

	"fettlebook/media/look"
	"fettlebook/media/mediatest"
)

// casting draws something like a casting on a bench: ears, bores, a rough
// skin, and the grain of a camera.
func casting(seed uint64) *image.Gray {
	r := rand.New(rand.NewPCG(seed, 7))
	g := image.NewGray(image.Rect(0, 0, 480, 360))
	type bore struct{ x, y, r float64 }
	var bores []bore
	for range 6 {
		bores = append(bores, bore{60 + 360*r.Float64(), 50 + 260*r.Float64(), 15 + 30*r.Float64()})
	}
	left, top := 40+60*r.Float64(), 40+40*r.Float64()
	for y := range 360 {
		for x := range 480 {
			fx, fy := float64(x), float64(y)
			v := 70 + fx/12
			if fx > left && fx < left+320 && fy > top && fy < top+240 {
				v = 150 + 12*math.Sin(fx/3)*math.Cos(fy/5)
			}
			for _, b := range bores {
				if d := math.Hypot(fx-b.x, fy-b.y); d < b.r {
					v = 35
				} else if d < b.r+4 {
					v = 210
				}
			}
			g.SetGray(x, y, color.Gray{Y: uint8(min(max(v+6*r.NormFloat64(), 0), 255))})
		}
	}
	return g
}

func encoded(tb testing.TB, img image.Image, quality int) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func measured(tb testing.TB, img image.Image) look.Picture {
	tb.Helper()
	p, err := look.Measure(context.Background(), encoded(tb, img, 85))
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

func doubts(list []look.Finding) (what []look.Doubt) {
	for _, f := range list {
		what = append(what, f.What)
	}
	return what
}

// TestPictures: what is wrong with a picture is said, and nothing of one that
// is as it should be.
func TestPictures(t *testing.T) {
	sharp := casting(1)
	plain := image.NewGray(image.Rect(0, 0, 480, 360))
	for i := range plain.Pix {
		plain.Pix[i] = 128
	}
	for name, trial := range map[string]struct {
		img  image.Image
		want []look.Doubt
	}{
		"sharp":         {sharp, nil},
		"another":       {casting(2), nil},
		"a little soft": {imaging.Blur(sharp, 1), nil},
		"blurred":       {imaging.Blur(sharp, 4), []look.Doubt{look.Blurred}},
		"a plain wall":  {plain, nil},
		"in the dark":   {imaging.AdjustGamma(sharp, 0.3), []look.Doubt{look.TooDark}},
		"into the lamp": {imaging.AdjustBrightness(sharp, 60), []look.Doubt{look.BlownOut}},
	} {
		p := measured(t, trial.img)
		if got := doubts(look.Judge(p, look.Circumstances{Now: time.Now()}, look.DefaultLimits())); !slices.Equal(got, trial.want) {
			t.Errorf("%s: got %v of %+v", name, got, p)
		}
	}
}

// TestMoreBlurNeverLooksSharper walks one picture out of focus.
func TestMoreBlurNeverLooksSharper(t *testing.T) {
	before := measured(t, casting(3)).Blur
	for _, sigma := range []float64{1, 2, 3, 4, 6} {
		now := measured(t, imaging.Blur(casting(3), sigma)).Blur
		if now <= before {
			t.Errorf("blurred by %g it measures %.3f, less than before, %.3f", sigma, now, before)
		}
		before = now
	}
}

// TestSameAgain: the same picture encoded anew, brighter or smaller is known
// again, another one is not.
func TestSameAgain(t *testing.T) {
	known := []look.Known{{Print: measured(t, casting(5)).Print, Where: "LF bracket"}, {Print: measured(t, casting(1)).Print, Where: "RF caliper, masked bores"}}
	for name, img := range map[string]image.Image{
		"brighter": imaging.AdjustBrightness(casting(1), 6),
		"smaller":  imaging.Resize(casting(1), 240, 180, imaging.Lanczos),
	} {
		got := look.Judge(measured(t, img), look.Circumstances{Now: time.Now(), Others: known}, look.DefaultLimits())
		if len(got) != 1 || got[0].What != look.SameAgain || got[0].Say != "This looks like the picture of RF caliper, masked bores: look whether it is the right part." {
			t.Errorf("%s: got %v", name, got)
		}
	}
	worse, err := look.Measure(t.Context(), encoded(t, casting(1), 40))
	if err != nil || worse.Print.Distance(known[1].Print) > look.DefaultLimits().Same {
		t.Errorf("encoded anew it differs in %d bits, %v", worse.Print.Distance(known[1].Print), err)
	}
	for seed := uint64(10); seed < 40; seed++ {
		if got := look.Judge(measured(t, casting(seed)), look.Circumstances{Now: time.Now(), Others: known}, look.DefaultLimits()); len(got) > 0 {
			t.Errorf("casting %d: got %v", seed, got)
		}
	}
}

func TestClocks(t *testing.T) {
	zone := time.FixedZone("", 3600)
	now := time.Date(2026, 3, 2, 14, 0, 0, 0, zone)
	for _, trial := range []struct {
		camera string
		began  time.Time
		what   []look.Doubt
		say    string
	}{
		{"", now, nil, ""},
		{"no time", now, nil, ""},
		{"2026-03-02T13:58:00", time.Time{}, nil, ""},
		{"2026-03-02T12:55:00Z", time.Time{}, nil, ""},
		{"2026-03-02T13:49:00", time.Time{}, []look.Doubt{look.CameraClock}, "The camera's clock says 2 March 2026 13:49, 11 minutes behind this device's. Set the camera's clock; the journal keeps both times."},
		{"2026-03-02T14:00:00Z", time.Time{}, []look.Doubt{look.CameraClock}, "The camera's clock says 2 March 2026 14:00, 1 hour ahead of this device's. Set the camera's clock; the journal keeps both times."},
		{"2024-03-02T14:00:00", time.Time{}, []look.Doubt{look.CameraClock}, "The camera's clock says 2 March 2024 14:00, 2 years behind this device's. Set the camera's clock; the journal keeps both times."},
		{"2026-03-01T09:00:00", now.Add(-time.Hour), []look.Doubt{look.BeforeJob}, "The camera says 1 March 2026 09:00, before this job was opened: an old picture, or its clock is wrong. The journal keeps both times."},
		{"2026-03-02T12:55:00", now.Add(-time.Hour), []look.Doubt{look.CameraClock}, "The camera's clock says 2 March 2026 12:55, 1 hour behind this device's. Set the camera's clock; the journal keeps both times."},
	} {
		got := look.Judge(measured(t, casting(1)), look.Circumstances{Camera: trial.camera, Now: now, Began: trial.began}, look.DefaultLimits())
		if !slices.Equal(doubts(got), trial.what) || len(got) > 0 && got[0].Say != trial.say {
			t.Errorf("%s: got %v", trial.camera, got)
		}
	}
}

// outside computes both measures with numpy and scipy from the papers'
// formulas, on a picture without the losses of JPEG.
const outside = `
import sys, json, zlib, struct
import numpy as np
from scipy import ndimage
w, h = int(sys.argv[2]), int(sys.argv[3])
g = np.fromfile(sys.argv[1], dtype=np.uint8).reshape(h, w).astype(float)
def effect(axis):
    soft = ndimage.uniform_filter1d(g, 9, axis=axis, mode="nearest")
    sharp, dull = np.abs(np.diff(g, axis=axis)), np.abs(np.diff(soft, axis=axis))
    total = sharp.sum()
    return 0 if total == 0 else (total - np.maximum(0, sharp - dull).sum()) / total
cells = np.array([[g[y*h//8:max((y+1)*h//8, y*h//8+1), x*w//9:max((x+1)*w//9, x*w//9+1)].mean() for x in range(9)] for y in range(8)])
bits = (cells[:, :-1] < cells[:, 1:]).flatten()
print(json.dumps({"blur": max(effect(0), effect(1)), "print": "".join("1" if b else "0" for b in bits)}))
`

// TestAgainstScipy holds blur effect and fingerprint against python3-scipy.
func TestAgainstScipy(t *testing.T) {
	if exec.Command("/usr/bin/python3", "-c", "import scipy").Run() != nil {
		mediatest.Missing(t, "python3-scipy is missing; install it (Debian: apt-get install python3-scipy)")
	}
	dir := t.TempDir()
	for i, img := range []image.Image{casting(1), imaging.Blur(casting(1), 2), imaging.Blur(casting(2), 5), imaging.Resize(casting(3), 77, 41, imaging.Box), imaging.Resize(casting(4), 5, 3, imaging.Box)} {
		// The thumbnail is decoded here as the measure does, so that both see
		// the same pixels.
		raw := encoded(t, img, 95)
		p, err := look.Measure(t.Context(), raw)
		if err != nil {
			t.Fatal(err)
		}
		pixels, w, h := look.Grey(t, raw)
		file := filepath.Join(dir, "pixels")
		if err := os.WriteFile(file, pixels, 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("/usr/bin/python3", "-c", outside, file, itoa(w), itoa(h)).Output()
		if err != nil {
			t.Fatal(err)
		}
		var want struct {
			Blur  float64
			Print string
		}
		if err := json.Unmarshal(out, &want); err != nil {
			t.Fatal(err)
		}
		var bits string
		for i := 63; i >= 0; i-- {
			bits += string('0' + rune(p.Print>>i&1))
		}
		if math.Abs(p.Blur-want.Blur) > 1e-9 || bits != want.Print {
			t.Errorf("picture %d: blur %.6f and %s, scipy says %.6f and %s", i, p.Blur, bits, want.Blur, want.Print)
		}
	}
}

func itoa(n int) string { b, _ := json.Marshal(n); return string(b) }

func TestDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, g := look.Fingerprint(rapid.Uint64().Draw(t, "f")), look.Fingerprint(rapid.Uint64().Draw(t, "g"))
		if d := f.Distance(g); d != g.Distance(f) || d > 64 || (d == 0) != (f == g) {
			t.Fatalf("%x and %x are %d apart", f, g, d)
		}
	})
}

func TestNoPicture(t *testing.T) {
	var b bytes.Buffer
	if err := png.Encode(&b, casting(1)); err != nil {
		t.Fatal(err)
	}
	big := encoded(t, image.NewGray(image.Rect(0, 0, 2000, 10)), 80)
	for name, raw := range map[string][]byte{"nothing": nil, "text": []byte("no picture"), "a PNG": b.Bytes(), "too large": big} {
		if _, err := look.Measure(t.Context(), raw); !errors.Is(err, look.ErrPicture) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzMeasure(f *testing.F) {
	f.Add(encoded(f, imaging.Resize(casting(1), 40, 30, imaging.Box), 60))
	f.Add([]byte("\xff\xd8\xff"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		p, err := look.Measure(context.Background(), raw)
		if err == nil {
			look.Judge(p, look.Circumstances{}, look.DefaultLimits())
		}
	})
}

// BenchmarkMeasure reports what judging costs beside decoding.
func BenchmarkMeasure(b *testing.B) {
	raw := encoded(b, casting(1), 80)
	start := time.Now()
	const n = 50
	for range n {
		look.Grey(b, raw)
	}
	decoding := time.Since(start) / n
	for b.Loop() {
		if _, err := look.Measure(context.Background(), raw); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed())/float64(b.N)/float64(decoding), "of-decoding")
}
