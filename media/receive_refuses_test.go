package media_test

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
)

// refusedFor receives b on a disk, wants it refused, and wants nothing kept.
func refusedFor(t *testing.T, b []byte, lim media.Limits) *media.Refused {
	t.Helper()
	dir, files := onDisk(t)
	_, err := media.Receive(t.Context(), dir, bytes.NewReader(b), lim)
	var no *media.Refused
	if !errors.As(err, &no) {
		t.Fatalf("error %v, want it refused", err)
	}
	if left := files(); len(left) > 0 {
		t.Errorf("left in the folder: %q", left)
	}
	if _, err := media.Inspect(t.Context(), bytes.NewReader(b), lim); !errors.As(err, new(*media.Refused)) {
		t.Errorf("Inspect: %v, want it refused", err)
	}
	return no
}

func TestReceiveRefuses(t *testing.T) {
	rare := func(marker byte) []byte {
		b := sampleJPEG()
		b[bytes.Index(b, []byte{0xff, 0xc0})+1] = marker
		return b
	}
	jpegWith := func(edit func(frame []byte)) []byte {
		b := sampleJPEG()
		edit(b[bytes.Index(b, []byte{0xff, 0xc0}):])
		return b
	}
	frame := func() []byte {
		b := sampleJPEG()
		i := bytes.Index(b, []byte{0xff, 0xc0})
		return b[i : i+2+17]
	}()
	scan := func() []byte {
		b := sampleJPEG()
		i := bytes.Index(b, []byte{0xff, 0xda})
		return b[i : len(b)-2]
	}()
	eoi := []byte{0xff, 0xd9}
	soi := []byte{0xff, 0xd8}

	tests := []struct {
		name   string
		bytes  []byte
		reason media.Reason
		says   string
	}{
		{"nothing", nil, media.Empty, "this file is empty"},
		{"text", []byte("the bore was masked, honest"), media.NotAPhoto, "text file"},
		{"text in another script", []byte("Die Bohrung war abgeklebt – ehrlich, und zwar überall, wo es nötig war"), media.NotAPhoto, "text file"},
		{"text with a letter cut by the first look", []byte("x" + strings.Repeat("ü", 40)), media.NotAPhoto, "text file"},
		{"zeros", make([]byte, 5000), media.NotAPhoto, "not a photo"},
		{"PDF", []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"), media.NotAPhoto, "PDF document"},
		{"film", []byte("\x00\x00\x00\x18ftypisom\x00\x00\x02\x00"), media.NotAPhoto, "film"},
		{"archive", []byte("PK\x03\x04\x14\x00"), media.NotAPhoto, "ZIP archive"},

		{"TIFF, little-endian", []byte("II*\x00\x08\x00\x00\x00\x0e\x00"), media.WrongFormat, "this is a TIFF picture; save it as JPEG or PNG and add that"},
		{"TIFF, big-endian", []byte("MM\x00*\x00\x00\x00\x08\x00\x0e"), media.WrongFormat, "TIFF"},
		{"TIFF with 64 bits", []byte("II+\x00\x08\x00\x00\x00"), media.WrongFormat, "TIFF"},
		{"GIF", []byte("GIF89a\x10\x00\x10\x00"), media.WrongFormat, "GIF"},
		{"HEIC", []byte("\x00\x00\x00\x24ftypheic\x00\x00\x00\x00"), media.WrongFormat, "HEIC"},
		{"HEIC, general brand", []byte("\x00\x00\x00\x24ftypmif1\x00\x00\x00\x00"), media.WrongFormat, "HEIC"},
		{"AVIF", []byte("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00"), media.WrongFormat, "this is an AVIF picture"},
		{"raw camera file", []byte("\x00\x00\x00\x18ftypcrx \x00\x00\x00\x01"), media.WrongFormat, "raw camera picture"},
		{"WebP", []byte("RIFF\x24\x00\x00\x00WEBPVP8 "), media.WrongFormat, "WebP"},
		{"BMP", []byte("BM\x46\x00\x00\x00\x00\x00\x00\x00\x36\x00"), media.WrongFormat, "BMP"},
		{"JPEG XL", []byte("\x00\x00\x00\x0cJXL \x0d\x0a\x87\x0a"), media.WrongFormat, "JPEG XL"},
		{"JPEG 2000", []byte("\x00\x00\x00\x0cjP  \x0d\x0a\x87\x0a"), media.WrongFormat, "JPEG 2000"},

		{"JPEG, lossless", rare(0xc3), media.WrongFormat, "rare kind"},
		{"JPEG, arithmetic coding", rare(0xc9), media.WrongFormat, "rare kind"},
		{"JPEG, 12 bits", jpegWith(func(f []byte) { f[4] = 12 }), media.WrongFormat, "not 8 bits"},
		{"JPEG, two components", jpegWith(func(f []byte) { f[9] = 2 }), media.WrongFormat, "neither grey nor colour"},

		{"JPEG, a marker's first byte", []byte{0xff}, media.Truncated, "the end of this JPEG is missing"},
		{"JPEG, start only", soi, media.Truncated, "JPEG"},
		{"PNG, half its magic", []byte("\x89PNG"), media.Truncated, "PNG"},
		{"PNG, magic only", []byte("\x89PNG\r\n\x1a\n"), media.Truncated, "PNG"},

		{"JPEG, no picture", slices.Concat(soi, eoi), media.Damaged, "no picture"},
		{"JPEG, header but no scan", slices.Concat(soi, frame, eoi), media.Damaged, "no picture"},
		{"JPEG, scan but no header", slices.Concat(soi, scan, eoi), media.Damaged, "does not give its size"},
		{"JPEG, two headers", slices.Concat(soi, frame, frame, scan, eoi), media.Damaged, "size twice"},
		{"JPEG, start inside", slices.Concat(soi, frame, scan, soi, scan, eoi), media.Damaged, "second picture"},
		{"JPEG, segment without length", slices.Concat(soi, []byte{0xff, 0xe0, 0, 1}, eoi), media.Damaged, "no length"},
		{"JPEG, no width", jpegWith(func(f []byte) { f[7], f[8] = 0, 0 }), media.Damaged, "no size"},
		{"JPEG, no height", jpegWith(func(f []byte) { f[5], f[6] = 0, 0 }), media.Damaged, "no size"},
		{"JPEG, short header", slices.Concat(soi, []byte{0xff, 0xc0, 0, 4, 8, 0}, eoi), media.Damaged, "header is too short"},
		{"JPEG, long header", jpegWith(func(f []byte) { f[9] = 1 }), media.Damaged, "wrong length"},
		{"JPEG, endless passes", slices.Concat(soi, frame, bytes.Repeat([]byte{0xff, 0xda, 0, 2}, media.MaxScans+1), eoi), media.Damaged, "too many passes"},

		{"PNG, no width", mediatest.HeaderPNG(0, 10), media.Damaged, "no size"},
		{"PNG, header later", slices.Concat(samplePNG()[:8], samplePNG()[33:]), media.Damaged, "not in its place"},
		{"PNG, header twice", slices.Concat(samplePNG()[:33], samplePNG()[8:]), media.Damaged, "not in its place"},
		{"PNG, no picture", slices.Concat(samplePNG()[:33], samplePNG()[len(samplePNG())-12:]), media.Damaged, "no picture"},
		{"PNG, impossible length", slices.Concat(samplePNG()[:33], []byte("\xff\xff\xff\xffIDAT")), media.Damaged, "impossible length"},

		{"JPEG of 60000 × 60000", mediatest.HeaderJPEG(60000, 60000), media.TooManyPixels, "60000 × 60000 pixels, more than 100 million"},
		{"PNG of 60000 × 60000", mediatest.HeaderPNG(60000, 60000), media.TooManyPixels, "60000 × 60000"},
		{"PNG, one endless row", mediatest.HeaderPNG(90_000_000, 1), media.TooManyPixels, "neither side may have more than 65535"},
		{"PNG, both sides at their most", mediatest.HeaderPNG(1<<31-1, 1<<31-1), media.TooManyPixels, "neither side"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			no := refusedFor(t, tt.bytes, media.DefaultLimits())
			if no.Reason != tt.reason {
				t.Errorf("reason %s, want %s", no.Reason, tt.reason)
			}
			if !strings.Contains(no.Error(), tt.says) {
				t.Errorf("says %q, want in it %q", no, tt.says)
			}
			if what, do, ok := strings.Cut(no.Error(), "; "); !ok || what == "" || do == "" {
				t.Errorf("says %q: not what is wrong and what to do", no)
			}
		})
	}
}

func TestReceiveRefusesEveryCut(t *testing.T) {
	for name, whole := range map[string][]byte{
		"JPEG":                   sampleJPEG(),
		"JPEG with camera notes": mediatest.JPEG(mediatest.Corners(64, 48), 90, mediatest.Exif(mediatest.ExifTags{Orientation: 6, Location: true})),
		// A preview is a whole JPEG, end marker and all, inside the first segment.
		"JPEG with a preview": mediatest.JPEG(mediatest.Corners(64, 48), 90, append([]byte("Exif\x00\x00"), sampleJPEG()...)),
		"PNG":                 samplePNG(),
	} {
		t.Run(name, func(t *testing.T) {
			store := mediatest.NewMemory()
			for n := 1; n < len(whole); n++ {
				_, err := media.Receive(t.Context(), store, bytes.NewReader(whole[:n]), media.DefaultLimits())
				var no *media.Refused
				if !errors.As(err, &no) || no.Reason != media.Truncated {
					t.Fatalf("cut after %d of %d bytes: %v, want it refused as %s", n, len(whole), err, media.Truncated)
				}
			}
			if store.Len() != 0 || store.Drafts() != 0 {
				t.Errorf("%d originals and %d open drafts are left", store.Len(), store.Drafts())
			}
		})
	}
}

// A PNG has a checksum over every part: no flipped bit passes.
func TestReceiveRefusesEveryFlippedBitOfAPNG(t *testing.T) {
	whole := samplePNG()
	for i := range whole {
		for bit := range 8 {
			b := bytes.Clone(whole)
			b[i] ^= 1 << bit
			if _, err := media.Inspect(t.Context(), bytes.NewReader(b), media.Limits{}); !errors.As(err, new(*media.Refused)) {
				t.Fatalf("bit %d of byte %d flipped: %v, want it refused", bit, i, err)
			}
		}
	}
}

// A JPEG has none, so most flips pass. What passes must be kept as it came, and
// what does not must leave nothing.
func TestReceiveFlippedBytesOfAJPEG(t *testing.T) {
	whole := sampleJPEG()
	passed, refused := 0, 0
	for i := range whole {
		b := bytes.Clone(whole)
		b[i] ^= 0xff
		store := mediatest.NewMemory()
		photo, err := media.Receive(t.Context(), store, bytes.NewReader(b), media.DefaultLimits())
		switch {
		case err == nil:
			passed++
			if photo.Ref != media.RefOf(b) || store.Len() != 1 {
				t.Fatalf("byte %d flipped: kept as %v", i, photo.Ref)
			}
		case errors.As(err, new(*media.Refused)):
			refused++
			if store.Len() != 0 {
				t.Fatalf("byte %d flipped: refused and kept", i)
			}
		default:
			t.Fatalf("byte %d flipped: %v", i, err)
		}
		if store.Drafts() != 0 {
			t.Fatalf("byte %d flipped: a draft is open", i)
		}
	}
	if passed == 0 || refused == 0 {
		t.Errorf("%d passed, %d refused: the test shows nothing", passed, refused)
	}
}
