package look_test

import (
	"encoding/json"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/disintegration/imaging"

	"fettlebook/media/look"
	"fettlebook/media/mediatest"
)

// outside computes both measures with numpy and scipy: the blur effect as in
// Crete et al. (2007), and the difference hash over means of squares.
const outside = `
import json, sys
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
	const python = "/usr/bin/python3" // Debian's own, which finds python3-scipy
	if exec.Command(python, "-c", "import scipy").Run() != nil {
		mediatest.Missing(t, "python3-scipy is missing; install it (Debian: apt-get install python3-scipy)")
	}
	dir := t.TempDir()
	for i, img := range []image.Image{
		casting(1),
		imaging.Blur(casting(1), 1), // in colour, though it looks grey
		imaging.Blur(casting(1), 2),
		imaging.Blur(casting(1), 4),
		mediatest.Corners(480, 360),
		mediatest.Noise(200, 320, 1),
		imaging.Resize(casting(3), 77, 41, imaging.Box),
		imaging.Resize(casting(4), 5, 3, imaging.Box),
		imaging.Resize(casting(4), 480, 1, imaging.Box),
		image.NewGray(image.Rect(0, 0, 64, 48)),
	} {
		// Both see the pixels that the decoder gives.
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
		out, err := exec.Command(python, "-c", outside, file, strconv.Itoa(w), strconv.Itoa(h)).Output()
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
