package media_test

import (
	"bytes"
	"errors"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
)

func addSeeds(f *testing.F) {
	f.Add(sampleJPEG())
	f.Add(samplePNG())
	f.Add(sampleJPEG()[:200])
	f.Add(mediatest.HeaderJPEG(60000, 60000))
	f.Add(mediatest.HeaderPNG(1<<31-1, 1))
	f.Add(mediatest.JPEG(mediatest.Corners(8, 8), 50, mediatest.Exif(mediatest.ExifTags{Orientation: 8, Location: true})))
	f.Add([]byte("II*\x00"))
	f.Add([]byte{})
}

// Whatever comes, the gate refuses it in a sentence or says true things about it.
func FuzzReceive(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		store := mediatest.NewMemory()
		lim := media.Limits{Bytes: 1 << 20, Pixels: 1 << 20}
		p, err := media.Receive(t.Context(), store, bytes.NewReader(b), lim)
		switch {
		case store.Drafts() != 0:
			t.Fatal("a draft is open")
		case err == nil && (p.Ref != media.RefOf(b) || p.Bytes != int64(len(b)) || store.Len() != 1):
			t.Fatalf("said %+v", p)
		case err == nil && (p.Width < 1 || p.Height < 1 || int64(p.Width)*int64(p.Height) > lim.Pixels):
			t.Fatalf("let in %d x %d", p.Width, p.Height)
		case err != nil && (!errors.As(err, new(*media.Refused)) || store.Len() != 0):
			t.Fatalf("%v, %d stored", err, store.Len())
		}
	})
}

func FuzzWalkJPEG(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, b []byte) { checkWalk(t, b, media.WalkJPEG) })
}

func FuzzWalkPNG(f *testing.F) {
	addSeeds(f)
	f.Fuzz(func(t *testing.T, b []byte) { checkWalk(t, b, media.WalkPNG) })
}

// A picture that is whole stays so with anything behind it.
func checkWalk(t *testing.T, b []byte, walk func([]byte, int64) (int, int, error)) {
	w, h, err := walk(b, 1<<20)
	if err != nil {
		return
	}
	w2, h2, err := walk(append(bytes.Clone(b), "\xff\xd8\xff\xd9"...), 1<<20)
	if err != nil || w2 != w || h2 != h {
		t.Fatalf("%d x %d, and with bytes behind it %d x %d, %v", w, h, w2, h2, err)
	}
}
