package look_test

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/disintegration/imaging"
	"pgregory.net/rapid"

	"fettlebook/media/look"
	"fettlebook/media/mediatest"
)

// casting draws something like a casting on a bench: a body with bores, a rough
// skin, light that falls off from a lamp at one side, and the grain of a camera.
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
				v = 130 + fx/8 + 12*math.Sin(fx/3)*math.Cos(fy/5)
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
	p, err := look.Measure(tb.Context(), encoded(tb, img, 85))
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
	plain := imaging.New(480, 360, color.Gray{Y: 128})
	for name, trial := range map[string]struct {
		img  image.Image
		want []look.Doubt
	}{
		"sharp":         {sharp, nil},
		"another":       {casting(2), nil},
		"a little soft": {imaging.Blur(sharp, 1), nil},
		"blurred":       {imaging.Blur(sharp, 2), []look.Doubt{look.Blurred}},
		"much blurred":  {imaging.Blur(sharp, 4), []look.Doubt{look.Blurred}},
		"all a blur":    {imaging.Blur(sharp, 8), []look.Doubt{look.Blurred}},
		"a plain wall":  {plain, nil},
		"a lit wall":    {wall(), nil},
		"in the dark":   {imaging.AdjustGamma(sharp, 0.3), []look.Doubt{look.TooDark}},
		"into the lamp": {imaging.AdjustBrightness(sharp, 60), []look.Doubt{look.BlownOut}},
	} {
		p := measured(t, trial.img)
		if got := doubts(look.Judge(p, look.Circumstances{}, look.DefaultLimits())); !slices.Equal(got, trial.want) {
			t.Errorf("%s: got %v of %+v", name, got, p)
		}
	}
}

// wall is lit from one side, and has nothing on it.
func wall() *image.Gray {
	g := image.NewGray(image.Rect(0, 0, 480, 360))
	for i := range g.Pix {
		g.Pix[i] = uint8(60 + i%480/4)
	}
	return g
}

// A picture that is the same all over has no blur, whatever its brightness.
func TestUniform(t *testing.T) {
	for _, v := range []uint8{0, 1, 128, 255} {
		for _, size := range []image.Point{{480, 360}, {1, 1}, {1, 480}, {480, 1}, {9, 8}} {
			p := measured(t, imaging.New(size.X, size.Y, color.Gray{Y: v}))
			if p.Blur != 0 || p.Edges != 0 || p.Print != 0 || math.Abs(p.Mean-float64(v)) > 1 {
				t.Errorf("%v of brightness %d: %+v", size, v, p)
			}
		}
	}
}

// One picture walks out of focus.
func TestMoreBlurNeverLooksSharper(t *testing.T) {
	before := measured(t, casting(3)).Blur
	for _, sigma := range []float64{1, 2, 4} {
		now := measured(t, imaging.Blur(casting(3), sigma)).Blur
		if now < before+0.1 {
			t.Errorf("blurred by %g it measures %.3f, hardly more than before, %.3f", sigma, now, before)
		}
		before = now
	}
}

// Each doubt begins exactly at its limit.
func TestLimits(t *testing.T) {
	limits := look.DefaultLimits()
	known := []look.Known{{Print: 0b111, Where: "LF bracket"}}
	tests := []struct {
		name   string
		change func(*look.Picture)
		want   []look.Doubt
	}{
		{"fine", func(*look.Picture) {}, nil},
		{"nearly blurred", func(p *look.Picture) { p.Blur = limits.Blur - 0.001 }, nil},
		{"blurred", func(p *look.Picture) { p.Blur = limits.Blur }, []look.Doubt{look.Blurred}},
		{"blurred, with just enough edges", func(p *look.Picture) { p.Blur, p.Edges = 1, limits.Edges }, []look.Doubt{look.Blurred}},
		{"too plain to be called blurred", func(p *look.Picture) { p.Blur, p.Edges = 1, limits.Edges-0.001 }, nil},
		{"nearly dim", func(p *look.Picture) { p.Mean = limits.Dim }, nil},
		{"dim", func(p *look.Picture) { p.Mean = limits.Dim - 0.001 }, []look.Doubt{look.TooDark}},
		{"nearly black", func(p *look.Picture) { p.Dark = limits.Dark - 0.001 }, nil},
		{"black", func(p *look.Picture) { p.Dark = limits.Dark }, []look.Doubt{look.TooDark}},
		{"nearly white", func(p *look.Picture) { p.Bright = limits.Bright - 0.001 }, nil},
		{"white", func(p *look.Picture) { p.Bright = limits.Bright }, []look.Doubt{look.BlownOut}},
		{"three bits from another", func(p *look.Picture) { p.Print = 0 }, nil},
		{"two bits from another", func(p *look.Picture) { p.Print = 1 }, []look.Doubt{look.SameAgain}},
		{"everything", func(p *look.Picture) { *p = look.Picture{Blur: 1, Edges: 9, Bright: 1, Print: 7} },
			[]look.Doubt{look.Blurred, look.TooDark, look.BlownOut, look.SameAgain}},
	}
	for _, tt := range tests {
		p := fine()
		p.Print = 1 << 40
		tt.change(&p)
		if got := doubts(look.Judge(p, look.Circumstances{Others: known}, limits)); !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
}

// Nearly black is 0 to 23, nearly white 251 to 255.
func TestShares(t *testing.T) {
	p := look.MeasureGrey([]byte{0, 23, 24, 100, 200, 250, 251, 255, 255, 30}, 5, 2)
	if p.Dark != 0.2 || p.Bright != 0.3 || p.Mean != 138.8 {
		t.Errorf("got %+v", p)
	}
}

// The same picture encoded anew, brighter or smaller is known again, and the
// nearest is named; another one is not known.
func TestSameAgain(t *testing.T) {
	first := measured(t, casting(1)).Print
	known := []look.Known{
		{Print: measured(t, casting(5)).Print, Where: "LF bracket"},
		{Print: first ^ 1<<63 ^ 1, Where: "one that is nearly the same"},
		{Print: first, Where: "RF caliper, masked bores"},
		{Print: first ^ 2, Where: "another that is nearly the same"},
	}
	judge := func(b []byte) []look.Finding {
		p, err := look.Measure(t.Context(), b)
		if err != nil {
			t.Fatal(err)
		}
		return look.Judge(p, look.Circumstances{Others: known}, look.DefaultLimits())
	}
	want := []look.Finding{{
		What: look.SameAgain,
		Say:  "Looks like the photograph already taken of RF caliper, masked bores. Check that this is the right part.",
	}}
	for name, b := range map[string][]byte{
		"itself":        encoded(t, casting(1), 85),
		"encoded anew":  encoded(t, casting(1), 40),
		"brighter":      encoded(t, imaging.AdjustBrightness(casting(1), 6), 85),
		"smaller":       encoded(t, imaging.Resize(casting(1), 240, 180, imaging.Lanczos), 85),
		"a little soft": encoded(t, imaging.Blur(casting(1), 1), 85),
	} {
		if got := judge(b); !slices.Equal(got, want) {
			t.Errorf("%s: got %v", name, got)
		}
	}
	for seed := uint64(10); seed < 40; seed++ {
		if got := judge(encoded(t, casting(seed), 85)); len(got) > 0 {
			t.Errorf("casting %d: got %v", seed, got)
		}
	}
}

func TestDistance(t *testing.T) {
	draw := func(t *rapid.T, name string) look.Fingerprint { return look.Fingerprint(rapid.Uint64().Draw(t, name)) }
	rapid.Check(t, func(t *rapid.T) {
		f, g, h := draw(t, "f"), draw(t, "g"), draw(t, "h")
		d := f.Distance(g)
		if d != g.Distance(f) || d > 64 || (d == 0) != (f == g) || d > f.Distance(h)+h.Distance(g) {
			t.Fatalf("%x and %x are %d apart", f, g, d)
		}
		bit := rapid.IntRange(0, 63).Draw(t, "bit")
		if f.Distance(f^1<<bit) != 1 {
			t.Fatalf("one bit of %x is not one apart", f)
		}
	})
}

// Any small picture gives figures that can be, and turned over, dark and light
// changed, it has the same blur: that is about steps and not about their sign.
func TestAnyPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 40).Draw(t, "w"), rapid.IntRange(1, 40).Draw(t, "h")
		pix := rapid.SliceOfN(rapid.Byte(), w*h, w*h).Draw(t, "pix")
		negative, turned := make([]byte, len(pix)), make([]byte, len(pix))
		for i, v := range pix {
			negative[i], turned[len(pix)-1-i] = 255-v, v
		}
		p := look.MeasureGrey(pix, w, h)
		possible(t, p)
		for name, other := range map[string][]byte{"negative": negative, "turned": turned} {
			if q := look.MeasureGrey(other, w, h); math.Abs(p.Blur-q.Blur) > 1e-12 || math.Abs(p.Edges-q.Edges) > 1e-12 {
				t.Fatalf("%+v, %s %+v", p, name, q)
			}
		}
	})
}

func TestNoPicture(t *testing.T) {
	whole := encoded(t, casting(1), 80)
	for name, raw := range map[string][]byte{
		"nothing":   nil,
		"text":      []byte("no picture"),
		"a PNG":     mediatest.PNG(casting(1), nil),
		"cut off":   whole[:len(whole)/2],
		"too wide":  encoded(t, image.NewGray(image.Rect(0, 0, 2000, 10)), 80),
		"too large": mediatest.HeaderJPEG(40000, 30000),
		"too long":  append(whole, make([]byte, 1<<20)...),
	} {
		if p, err := look.Measure(t.Context(), raw); !errors.Is(err, look.ErrPicture) || p != (look.Picture{}) {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
}

func TestMeasureGivenUp(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := look.Measure(ctx, encoded(t, casting(1), 80)); !errors.Is(err, context.Canceled) || errors.Is(err, look.ErrPicture) {
		t.Errorf("given up: %v", err)
	}
}
