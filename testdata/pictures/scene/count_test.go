package scene_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"testing"

	"github.com/disintegration/imaging"

	"fettlebook/testdata/pictures/scene"
)

// islands counts the connected areas of a colour, as an eye counts things on a tray. Areas under least pixels are noise.
func islands(img *image.NRGBA, least int, is func(color.NRGBA) bool) int {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	seen := make([]bool, w*h)
	found := 0
	for start := range seen {
		size := 0
		for queue := []int{start}; len(queue) > 0; {
			i := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			if seen[i] || !is(img.NRGBAAt(i%w, i/w)) {
				continue
			}
			seen[i] = true
			size++
			if i%w > 0 {
				queue = append(queue, i-1)
			}
			if i%w < w-1 {
				queue = append(queue, i+1)
			}
			if i >= w {
				queue = append(queue, i-w)
			}
			if i < w*(h-1) {
				queue = append(queue, i+w)
			}
		}
		if size >= least {
			found++
		}
	}
	return found
}

func plugBlue(c color.NRGBA) bool { return int(c.B) > int(c.R)+60 && int(c.B) > int(c.G)+15 }
func copper(c color.NRGBA) bool   { return int(c.R) > int(c.B)+55 && int(c.R) > int(c.G)+25 }

func TestWhatIsCountedIsInThePicture(t *testing.T) {
	for _, c := range []struct {
		stage  scene.Stage
		is     func(color.NRGBA) bool
		counts []int
		usual  int
	}{
		{scene.Masked, plugBlue, []int{5, 6, 14}, 11},
		{scene.Unmasked, plugBlue, []int{5, 6, 14}, 11},
		{scene.Washers, copper, []int{1, 4, 6, 16}, 2},
	} {
		if underRace {
			c.counts = nil
		}
		for i, n := range append(c.counts, 0) {
			corner := []string{"LF", "RR"}[i%2]
			t.Run(fmt.Sprintf("%s %d %s", c.stage, n, corner), func(t *testing.T) {
				s := shot(c.stage, uint64(40+n))
				s.Count, s.Corner = n, corner
				want := n
				if n == 0 {
					want = c.usual
				}
				img := imaging.Resize(upright(t, draw(t, s)), 800, 0, imaging.Box)
				// The red pencil on the card is no washer: its strokes are far smaller.
				if got := islands(img, 300, c.is); got != want {
					t.Errorf("counted %d in the picture, want %d", got, want)
				}
			})
		}
	}
}

func TestDetailsAreDrawn(t *testing.T) {
	base := shot(scene.Film, 4)
	for name, change := range map[string]func(*scene.Shot){
		"reading": func(s *scene.Shot) { s.Reading = "112 µm" },
		"casting": func(s *scene.Shot) { s.Casting = "K7-205" },
		"plate":   func(s *scene.Shot) { s.Plate = "HX 42 TRE" },
		"colour":  func(s *scene.Shot) { s.Colour = color.NRGBA{R: 30, G: 90, B: 160, A: 255} },
		"day":     func(s *scene.Shot) { s.Taken = s.Taken.AddDate(0, 0, 1) },
	} {
		t.Run(name, func(t *testing.T) {
			s := base
			change(&s)
			if difference(t, base, s) < 0.004 {
				t.Errorf("a change of the %s does not show", name)
			}
		})
	}
}

// The fluid stands higher with a higher level: there is more of its amber in the picture.
func TestReservoirLevel(t *testing.T) {
	last := -1
	for _, level := range []float64{0, 0.5, 1} {
		s := shot(scene.Reservoir, 8)
		s.Level = level
		amber := countPixels(upright(t, draw(t, s)), func(c color.RGBA) bool {
			return c.R > 120 && int(c.R) > int(c.B)+50 && c.G > 90
		})
		if amber <= last+5000 {
			t.Errorf("level %.1f: %d amber pixels after %d", level, amber, last)
		}
		last = amber
	}
}

// difference is the mean difference of two pictures, per channel, out of 255.
func difference(t *testing.T, a, b scene.Shot) float64 {
	t.Helper()
	x, y := draw(t, a), draw(t, b)
	if bytes.Equal(x, y) {
		return 0
	}
	p, q := imaging.Resize(upright(t, x), 400, 0, imaging.Box), imaging.Resize(upright(t, y), 400, 0, imaging.Box)
	sum := 0
	for i, v := range p.Pix {
		if d := int(v) - int(q.Pix[i]); d > 3 || d < -3 { // what noise leaves after averaging does not count
			sum += max(d, -d)
		}
	}
	return float64(sum) / float64(len(p.Pix))
}
