package darkroom_test

import (
	"bytes"
	"context"
	"image"
	"testing"
	"time"

	"github.com/gen2brain/jpegn"

	"fettlebook/cmd/internal/demo/darkroom"
	"fettlebook/journal"
	"fettlebook/journal/invented"
	"fettlebook/journal/journaltest"
	"fettlebook/media"
	"fettlebook/media/look"
	"fettlebook/media/thumb"
)

func open(t *testing.T) *darkroom.Room {
	t.Helper()
	room, err := darkroom.Open()
	if err != nil {
		t.Fatal(err)
	}
	return room
}

func taken() time.Time {
	return time.Date(2026, 5, 12, 9, 14, 33, 0, time.FixedZone("", -(9*60+30)*60))
}

// The photographs of a plan are ones that nobody would have taken again: they are
// not blurred, too dark or of another time, and of no job two look the same.
func TestPrintsOfAPlan(t *testing.T) {
	journaltest.Long(t)
	room := open(t)
	steps, err := invented.Make(invented.Setting{Seed: 5, Parts: 44, Cause: invented.CoolSoak}).Steps()
	if err != nil {
		t.Fatal(err)
	}
	known := make(map[journal.JobID][]look.Known)
	seen := make(map[media.Ref]bool)
	for _, s := range steps {
		for _, shot := range s.Shots {
			raw, err := room.Print(shot, s.At)
			if err != nil {
				t.Fatal(err)
			}
			if ref := media.RefOf(raw); seen[ref] {
				t.Errorf("%v: the same picture is there already", shot)
			} else {
				seen[ref] = true
			}
			picture, camera := measured(t.Context(), t, raw)
			job := s.About.Job()
			for _, f := range look.Judge(picture, look.Circumstances{Camera: camera, Now: s.At, Others: known[job]}, look.DefaultLimits()) {
				t.Errorf("%s, %s %s of %s: %s", shot.Shows, shot.Look, shot.Colour, s.About, f.Say)
			}
			known[job] = append(known[job], look.Known{Print: picture.Print, Where: shot.Role})
		}
	}
	if len(seen) < 40 {
		t.Errorf("%d photographs", len(seen))
	}
}

// measured is what is judged of a photograph, and its time.
func measured(ctx context.Context, t *testing.T, raw []byte) (look.Picture, string) {
	t.Helper()
	photo, err := media.Inspect(ctx, bytes.NewReader(raw), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	small, err := thumb.Make(ctx, bytes.NewReader(raw), photo)
	if err != nil {
		t.Fatal(err)
	}
	info, err := thumb.Camera(bytes.NewReader(raw), photo.Format)
	if err != nil {
		t.Fatal(err)
	}
	picture, err := look.Measure(ctx, small.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	return picture, info.Taken
}

// A coat has the colour of its powder, what is beside it keeps its own.
func TestColours(t *testing.T) {
	room := open(t)
	for colour, is := range map[string]func(r, g, b float64) bool{
		"signal red":     func(r, g, b float64) bool { return r > 1.5*g && r > 1.5*b },
		"traffic yellow": func(r, g, b float64) bool { return r > g && g > 1.6*b },
		"gentian blue":   func(r, g, b float64) bool { return b > 1.2*g && g > r },
		"silver grey":    func(r, g, b float64) bool { return r > 0.8*b && b > 0.8*r && r > 90 },
		"jet black":      func(r, g, b float64) bool { return r < 125 && r > 0.8*b && b > 0.8*r },
	} {
		img := printed(t, room, invented.Shot{Shows: invented.CloseUp, Look: "pinhole", Count: 1, Colour: colour, Seed: 3})
		if r, g, b := mean(img, image.Rect(20, 60, 540, 300)); !is(r, g, b) {
			t.Errorf("%s has red %.0f, green %.0f, blue %.0f", colour, r, g, b)
		}
		if r, _, b := mean(img, image.Rect(20, 400, 540, 418)); r < 0.75*b || b < 0.75*r {
			t.Errorf("the rule beside %s has red %.0f, blue %.0f", colour, r, b)
		}
	}
	if _, err := room.Print(invented.Shot{Shows: invented.CoatedPair, Colour: "plaid"}, taken()); err == nil {
		t.Error("a colour that nobody knows: no error")
	}
}

// The same shot is the same picture, and carries the time at which it was taken.
func TestPrintAgain(t *testing.T) {
	room := open(t)
	shot := invented.Shot{Shows: invented.CloseUp, Look: "orange peel", Colour: "jet black", Marks: []string{"LF F00012"}, Seed: 9}
	a, err := room.Print(shot, taken())
	if err != nil {
		t.Fatal(err)
	}
	if b, err := room.Print(shot, taken()); err != nil || !bytes.Equal(a, b) {
		t.Errorf("the same shot gave other bytes (%v)", err)
	}
	if _, camera := measured(t.Context(), t, a); camera != "2026-05-12T09:14:33-09:30" {
		t.Errorf("taken at %s", camera)
	}
	conf, err := jpegn.DecodeConfig(bytes.NewReader(a))
	if err != nil || conf.Width != darkroom.Width || conf.Height != darkroom.Height {
		t.Errorf("%d by %d pixels (%v)", conf.Width, conf.Height, err)
	}
	if _, err := room.Print(invented.Shot{Shows: invented.CloseUp, Look: "dent"}, taken()); err == nil {
		t.Error("a look that is not drawn: no error")
	}
}

func printed(t *testing.T, room *darkroom.Room, s invented.Shot) *image.RGBA {
	t.Helper()
	raw, err := room.Print(s, taken())
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpegn.Decode(bytes.NewReader(raw), &jpegn.Options{ToRGBA: true})
	if err != nil {
		t.Fatal(err)
	}
	return img.(*image.RGBA)
}

func mean(img *image.RGBA, in image.Rectangle) (r, g, b float64) {
	for y := in.Min.Y; y < in.Max.Y; y++ {
		for x := in.Min.X; x < in.Max.X; x++ {
			c := img.RGBAAt(x, y)
			r, g, b = r+float64(c.R), g+float64(c.G), b+float64(c.B)
		}
	}
	n := float64(in.Dx() * in.Dy())
	return r / n, g / n, b / n
}
