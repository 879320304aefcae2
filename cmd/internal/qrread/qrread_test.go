package qrread_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/qrread"
	"fettlebook/journal/evidence"
	"fettlebook/media/mediatest"

	"github.com/gen2brain/jpegn"
	"rsc.io/qr"
)

func text() string {
	return evidence.Receipt{Shop: "k7m2q4xw", Job: "4f7kk2m9", Seal: [32]byte{0x46, 0xe9}, Entries: 94, Hub: [32]byte{7}, Size: 218,
		Root: [32]byte{9}, At: time.Date(2026, 3, 6, 16, 21, 0, 0, time.UTC)}.String()
}

// sheet draws a code as it lies on a sheet of paper that was photographed:
// turned, smaller than the picture, in uneven light.
func sheet(t testing.TB, text string, width, height int, module, turn float64) *image.Gray {
	t.Helper()
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, width, height))
	sin, cos := math.Sincos(turn)
	for y := range height {
		for x := range width {
			dx, dy := float64(x)-float64(width)*.55, float64(y)-float64(height)*.45
			u, v := (dx*cos+dy*sin)/module+float64(code.Size)/2, (dy*cos-dx*sin)/module+float64(code.Size)/2
			light := 200 + 40*float64(x)/float64(width)
			if u >= 0 && v >= 0 && code.Black(int(u), int(v)) {
				light = 40 + 40*float64(x)/float64(width)
			}
			img.SetGray(x, y, color.Gray{Y: uint8(light)})
		}
	}
	return img
}

func TestReadsTheCodeOfAReceipt(t *testing.T) {
	for name, c := range map[string]struct {
		width, height int
		module, turn  float64
	}{
		"straight": {900, 1200, 8, 0},
		"turned":   {900, 1200, 7, .3},
		"sideways": {900, 1200, 7, math.Pi / 2},
		"large":    {3000, 4000, 22, .05},
	} {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, sheet(t, text(), c.width, c.height, c.module, c.turn), &jpeg.Options{Quality: 85}); err != nil {
			t.Fatal(err)
		}
		if got, err := qrread.Text(b.Bytes()); err != nil || got != text() {
			t.Errorf("%s: read %q, %v", name, got, err)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, sheet(t, text(), 700, 700, 6, 0)); err != nil {
		t.Fatal(err)
	}
	if got, err := qrread.Text(b.Bytes()); err != nil || got != text() {
		t.Errorf("as PNG: read %q, %v", got, err)
	}
}

func TestRefuses(t *testing.T) {
	if got, err := qrread.Text(mediatest.JPEG(mediatest.Noise(300, 300, 1), 80, nil)); !errors.Is(err, qrread.ErrNoCode) {
		t.Errorf("noise reads as %q, %v", got, err)
	}
	for name, raw := range map[string][]byte{
		"nothing":         nil,
		"a text":          []byte("fettlebook receipt 1"),
		"a PDF":           []byte("%PDF-1.7\n" + strings.Repeat(" ", 100)),
		"a cut picture":   mediatest.JPEG(mediatest.Noise(300, 300, 1), 80, nil)[:200],
		"a huge picture":  mediatest.HeaderPNG(60000, 60000),
		"a huge JPEG":     mediatest.HeaderJPEG(60000, 60000),
		"an empty header": []byte("\xff\xd8\xff\xd9"),
	} {
		if got, err := qrread.Text(raw); err == nil {
			t.Errorf("%s reads as %q", name, got)
		}
	}
}

// A picture that has to be read whole is refused where that would take much
// memory: progressive, or of 16 bits a channel. One that can be read at a part of
// its size may be large.
func TestRefusesWhatTakesMuchMemory(t *testing.T) {
	progressive := func(width, height int, module float64) []byte {
		var b bytes.Buffer
		if err := jpegn.Encode(&b, sheet(t, text(), width, height, module, 0), &jpegn.EncodeOptions{Quality: 80, Progressive: true}); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	small := progressive(900, 1200, 8)
	if got, err := qrread.Text(small); err != nil || got != text() {
		t.Errorf("progressive: read %q, %v", got, err)
	}
	deep := image.NewNRGBA64(image.Rect(0, 0, 4000, 3000))
	var lossless bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&lossless, deep); err != nil {
		t.Fatal(err)
	}
	for name, raw := range map[string][]byte{
		"12 megapixels, progressive":  claiming(t, small, 3000, 4000),
		"96 megapixels, progressive":  claiming(t, small, 8000, 12000),
		"12 megapixels of 16 bits":    lossless.Bytes(),
		"100 megapixels, of one part": claiming(t, mediatest.JPEG(sheet(t, text(), 900, 1200, 8, 0), 80, nil), 10000, 10000),
	} {
		got, err := qrread.Text(raw)
		if err == nil || errors.Is(err, qrread.ErrNoCode) || !strings.Contains(err.Error(), "pixels") || !strings.Contains(err.Error(), "smaller") {
			t.Errorf("%s: read %q, %v", name, got, err)
		}
	}
}

// claiming is a JPEG whose header says that it is of another size.
func claiming(t *testing.T, raw []byte, width, height uint16) []byte {
	t.Helper()
	for _, frame := range []string{"\xff\xc0\x00", "\xff\xc2\x00"} {
		if at := bytes.Index(raw, []byte(frame)); at > 0 {
			raw = bytes.Clone(raw)
			binary.BigEndian.PutUint16(raw[at+5:], height)
			binary.BigEndian.PutUint16(raw[at+7:], width)
			return raw
		}
	}
	t.Fatal("it has no header")
	return nil
}

// Whatever the picture is, it ends, and does not fall.
func FuzzText(f *testing.F) {
	img := sheet(f, text(), 300, 400, 3, 0)
	var lossless bytes.Buffer
	if err := png.Encode(&lossless, img); err != nil {
		f.Fatal(err)
	}
	f.Add(lossless.Bytes())
	f.Add(mediatest.JPEG(img, 70, nil))
	f.Add([]byte("hello"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if found, err := qrread.Text(raw); err != nil && found != "" {
			t.Errorf("%q and %v", found, err)
		}
	})
}
