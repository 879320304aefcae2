package browsertest

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"

	"github.com/chromedp/cdproto/page"
)

// Kept holds what an element shows against the picture of it that a document has: its upper
// part, so many pixels high. If FETTLEBOOK_PICTURES is "take", the picture is taken anew: in
// a palette as a PNG, or as a JPEG where the file's name says so. What differs from run to
// run, such as names that were drawn, does not count.
func (p *Page) Kept(element string, height int, file string) {
	p.b.t.Helper()
	box := eval[struct{ X, Y, W float64 }](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return {X: r.x + scrollX, Y: r.y + scrollY, W: r.width}; })()`, element))
	shot := call(p, "take a picture", page.CaptureScreenshot, page.CaptureScreenshotParams{CaptureBeyondViewport: new(true),
		Clip: &page.Viewport{X: box.X, Y: box.Y, Width: box.W, Height: float64(height), Scale: 1}})
	taken, err := png.Decode(bytes.NewReader(shot.Data))
	if err != nil {
		p.b.t.Fatal(err)
	}
	if os.Getenv("FETTLEBOOK_PICTURES") == "take" {
		if err := keep(file, taken); err != nil {
			p.b.t.Fatal(err)
		}
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		p.b.t.Fatal(err)
	}
	kept, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		p.b.t.Fatalf("%s: %v", file, err)
	}
	if apart := apart(taken, kept); apart > 4 {
		p.b.t.Errorf("the page differs from %s by %.1f of 255; take it again: FETTLEBOOK_PICTURES=take go test -run %s, and look at it", file, apart, p.b.t.Name())
	}
}

// keep writes a picture as small as its file's name says.
func keep(file string, of image.Image) error {
	var out bytes.Buffer
	var err error
	if filepath.Ext(file) == ".jpg" {
		err = jpeg.Encode(&out, of, &jpeg.Options{Quality: 80})
	} else {
		few := image.NewPaletted(of.Bounds(), palette(of))
		draw.Draw(few, few.Rect, of, of.Bounds().Min, draw.Src)
		err = (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, few)
	}
	if err != nil {
		return err
	}
	return os.WriteFile(file, out.Bytes(), 0o644)
}

// palette is the colours that a picture has most of.
func palette(of image.Image) color.Palette {
	const most, step = 64, 4
	counts := make(map[color.RGBA]int)
	for y := of.Bounds().Min.Y; y < of.Bounds().Max.Y; y++ {
		for x := of.Bounds().Min.X; x < of.Bounds().Max.X; x++ {
			r, g, b, _ := of.At(x, y).RGBA()
			counts[color.RGBA{uint8(r>>8) / step * step, uint8(g>>8) / step * step, uint8(b>>8) / step * step, 255}]++
		}
	}
	var list []color.RGBA
	for c := range counts {
		list = append(list, c)
	}
	slices.SortFunc(list, func(a, b color.RGBA) int {
		if n := counts[b] - counts[a]; n != 0 {
			return n
		}
		return int(a.R)<<16 + int(a.G)<<8 + int(a.B) - int(b.R)<<16 - int(b.G)<<8 - int(b.B)
	})
	var out color.Palette
	for _, c := range list[:min(most, len(list))] {
		out = append(out, c)
	}
	return out
}

// apart is by how much two pictures differ, of 255, where each is averaged down to a few
// squares. Pictures of different shapes differ altogether.
func apart(a, b image.Image) float64 {
	if a.Bounds().Size() != b.Bounds().Size() {
		return 255
	}
	const squares = 24
	of := func(is image.Image) (means [squares * squares]float64) {
		var n [squares * squares]float64
		r := is.Bounds()
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				at := (y-r.Min.Y)*squares/r.Dy()*squares + (x-r.Min.X)*squares/r.Dx()
				means[at] += float64(color.GrayModel.Convert(is.At(x, y)).(color.Gray).Y)
				n[at]++
			}
		}
		for i := range means {
			means[i] /= max(1, n[i])
		}
		return means
	}
	sum := 0.0
	one, other := of(a), of(b)
	for i := range one {
		sum += math.Abs(one[i] - other[i])
	}
	return sum / (squares * squares)
}
