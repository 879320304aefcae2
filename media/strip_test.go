package media_test

import (
	"bytes"
	"image"
	"io"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"
)

// noted is a JPEG with segments put behind its first marker.
func noted(raw []byte, segments ...string) []byte {
	out := bytes.Clone(raw[:2])
	for _, s := range segments {
		out = append(out, s...)
	}
	return append(out, raw[2:]...)
}

func segment(marker byte, body string) string {
	n := len(body) + 2
	return string([]byte{0xff, marker, byte(n >> 8), byte(n)}) + body
}

func TestStrip(t *testing.T) {
	img := mediatest.Noise(40, 24, 7)
	place := mediatest.Exif(mediatest.ExifTags{Orientation: 6, DateTimeOriginal: "2026:03:02 08:12:44", Location: true})
	plain := mediatest.JPEG(img, 80, nil)
	const secret = "47.37N 8.54E"
	for _, test := range []struct {
		name   string
		raw    []byte
		format media.Format
		bare   bool
	}{
		{"a JPEG with nothing in it", plain, media.JPEG, true},
		{"a JPEG with notes", mediatest.JPEG(img, 80, place), media.JPEG, false},
		{"a JPEG with XMP", noted(plain, segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00"+secret)), media.JPEG, false},
		{"a JPEG with a comment", noted(plain, segment(0xfe, secret)), media.JPEG, false},
		{"a JPEG with newspaper's notes", noted(plain, segment(0xed, "Photoshop 3.0\x00"+secret)), media.JPEG, false},
		{"a JPEG with other pictures", noted(plain, segment(0xe2, "MPF\x00"+secret)), media.JPEG, false},
		{"a JPEG with something behind it", append(bytes.Clone(plain), secret...), media.JPEG, false},
		{"a JPEG with something between", noted(plain, secret), media.JPEG, false},
		{"a JPEG with a colour profile", noted(plain, segment(0xe2, "ICC_PROFILE\x00\x01\x01profile"), segment(0xee, "Adobe\x00")), media.JPEG, true},
		{"a PNG with nothing in it", mediatest.PNG(img, nil), media.PNG, true},
		{"a PNG with notes", mediatest.PNG(img, place), media.PNG, false},
		{"a PNG with something behind it", append(mediatest.PNG(img, nil), secret...), media.PNG, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			before, err := thumb.Camera(bytes.NewReader(test.raw), test.format)
			if err != nil {
				t.Fatal(err)
			}
			r, bare, err := media.Strip(test.raw, test.format, int(before.Orientation))
			if err != nil {
				t.Fatal(err)
			}
			got, err := io.ReadAll(r)
			if err != nil {
				t.Fatal(err)
			}
			if bare != test.bare || bare != bytes.Equal(got, test.raw) {
				t.Errorf("bare: %v, same bytes: %v", bare, bytes.Equal(got, test.raw))
			}
			if bytes.Contains(got, []byte(secret)) || bytes.Contains(got, []byte("2026:03:02")) {
				t.Error("what was noted is still in it")
			}
			after, err := thumb.Camera(bytes.NewReader(got), test.format)
			if err != nil {
				t.Fatal(err)
			}
			if after.Orientation != before.Orientation {
				t.Errorf("it is to be turned %d, not %d", after.Orientation, before.Orientation)
			}
			if _, err := media.Inspect(t.Context(), bytes.NewReader(got), media.DefaultLimits()); err != nil {
				t.Error(err)
			}
			if is, was := decoded(t, got), decoded(t, test.raw); mediatest.Difference(is, was) != 0 {
				t.Error("the picture is another one")
			}
			again, bareNow, err := media.Strip(got, test.format, int(after.Orientation))
			if err != nil {
				t.Fatal(err)
			}
			if twice, err := io.ReadAll(again); err != nil || !bytes.Equal(twice, got) && !bareNow {
				t.Errorf("stripped twice it is another one (%v)", err)
			}
			for n := range test.raw { // cut off anywhere
				if r, _, err := media.Strip(test.raw[:n], test.format, 6); err == nil {
					if whole, _ := io.ReadAll(r); len(whole) > n+64 {
						t.Fatalf("cut off after %d bytes it comes to %d", n, len(whole))
					}
				}
			}
		})
	}
}

func decoded(t *testing.T, raw []byte) image.Image {
	t.Helper()
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return img
}
