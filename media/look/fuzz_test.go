package look_test

import (
	"math"
	"testing"

	"github.com/disintegration/imaging"

	"fettlebook/media/look"
	"fettlebook/media/mediatest"
)

// Whatever comes is measured or refused, and what was measured can be.
func FuzzMeasure(f *testing.F) {
	f.Add(encoded(f, imaging.Resize(casting(1), 40, 30, imaging.Box), 60))
	f.Add(encoded(f, mediatest.Corners(17, 9), 40))
	f.Add(mediatest.HeaderJPEG(1000, 900))
	f.Add(mediatest.PNG(mediatest.Corners(16, 16), nil))
	f.Add([]byte("\xff\xd8\xff"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if p, err := look.Measure(t.Context(), raw); err == nil {
			possible(t, p)
			look.Judge(p, look.Circumstances{}, look.DefaultLimits())
		}
	})
}

// possible checks that each figure is within the bounds that it promises.
func possible(t interface{ Fatalf(string, ...any) }, p look.Picture) {
	within := func(v, most float64) bool { return v >= 0 && v <= most && !math.IsNaN(v) }
	if !within(p.Blur, 1) || !within(p.Edges, 255) || !within(p.Mean, 255) || !within(p.Dark+p.Bright, 1) || !within(p.Dark, 1) || !within(p.Bright, 1) {
		t.Fatalf("%+v cannot be", p)
	}
}
