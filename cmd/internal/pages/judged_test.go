package pages_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"testing"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/pages/browsertest"

	"github.com/disintegration/imaging"
)

// TestAPhotographIsJudged while it can be taken again, and is kept all the
// same: blurred, too dark, the same as another corner's, the camera's clock.
func TestAPhotographIsJudged(t *testing.T) {
	t.Parallel()
	w := atTheBench(t, browsertest.Upright, "LF")
	drawn, err := demo.Picture("removed-1", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	sharp, err := jpeg.Decode(bytes.NewReader(drawn))
	if err != nil {
		t.Fatal(err)
	}
	file := func(name string, img image.Image) string {
		return browsertest.Photo(t, name, func(f *os.File) error { return jpeg.Encode(f, img, &jpeg.Options{Quality: 85}) })
	}
	old := picture(t, "removed-2", time.Now().AddDate(0, 0, -9))
	for says, shot := range map[string]string{
		"Blurred":                     file("blurred.jpg", imaging.Blur(sharp, 14)),
		"Too dark":                    file("dark.jpg", imaging.AdjustGamma(sharp, 0.2)),
		"Taken before this job began": old,
	} {
		w.stage("removed", "/corner/LF/part/caliper")
		w.snaps(shot)
		w.p.Sees(says)
		w.p.Go("Remove")
		w.p.Gone(says)
	}
	w.stage("removed", "/corner/LF/part/caliper")
	w.snaps(file("sharp.jpg", sharp))
	if w.p.Has(".snap .wrong") {
		t.Errorf("a good picture is doubted: %s", w.p.Text())
	}
	w.p.Click("rusty")
	w.stamps()
	w.stage("removed", "/corner/LF/part/bracket")
	w.snaps(file("again.jpg", imaging.AdjustBrightness(sharp, 2)))
	w.p.Sees("LF caliper, as it came off")
	w.p.Click("rusty")
	w.stamps() // it is said, and never refused
}
