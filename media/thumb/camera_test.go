package thumb_test

import (
	"bytes"
	"errors"
	"io"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/thumb"
)

// everything fills in every tag that mediatest can write.
func everything(orientation int) mediatest.ExifTags {
	return mediatest.ExifTags{
		Orientation:       orientation,
		DateTime:          "2026:04:01 00:00:00",
		DateTimeOriginal:  "2026:03:02 08:12:44",
		DateTimeDigitized: "2026:03:05 10:00:00",
		OffsetOriginal:    "+09:30",
		OffsetDigitized:   "+01:00",
		SubSecOriginal:    "123",
		Location:          true,
	}
}

// Tags and the shape of their values: CIPA DC-008 (Exif 2.32), 4.6.4 Orientation,
// 4.6.5 DateTimeOriginal, OffsetTimeOriginal. Shape of the answers: RFC 3339, 5.6.
func TestCamera(t *testing.T) {
	type tags = mediatest.ExifTags
	const stamp = "2026:03:02 08:12:44"
	tests := []struct {
		name string
		tags tags
		want thumb.CameraInfo
	}{
		{"nothing", tags{}, thumb.CameraInfo{Orientation: 1}},
		{"orientation", tags{Orientation: 6}, thumb.CameraInfo{Orientation: 6}},
		{"orientation beyond", tags{Orientation: 9}, thumb.CameraInfo{Orientation: 1}},
		{"orientation far beyond", tags{Orientation: 0xffff}, thumb.CameraInfo{Orientation: 1}},
		{"orientation of the preview", tags{PreviewOrientation: 8}, thumb.CameraInfo{Orientation: 1}},
		{"orientation of both", tags{Orientation: 6, PreviewOrientation: 8}, thumb.CameraInfo{Orientation: 6}},
		{"time", tags{DateTimeOriginal: stamp}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"time and zone", tags{DateTimeOriginal: stamp, OffsetOriginal: "+01:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44+01:00"}},
		{"zone west", tags{DateTimeOriginal: stamp, OffsetOriginal: "-03:30"}, thumb.CameraInfo{1, "2026-03-02T08:12:44-03:30"}},
		{"zone of Greenwich", tags{DateTimeOriginal: stamp, OffsetOriginal: "+00:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44+00:00"}},
		{"zone not known", tags{DateTimeOriginal: stamp, OffsetOriginal: "-00:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"zone blank", tags{DateTimeOriginal: stamp, OffsetOriginal: "   :  "}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"zone off the earth", tags{DateTimeOriginal: stamp, OffsetOriginal: "+23:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"zone of the other time", tags{DateTimeOriginal: stamp, OffsetDigitized: "+01:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"fraction left out", tags{DateTimeOriginal: stamp, SubSecOriginal: "05"}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"digitized for want of original", tags{DateTimeDigitized: stamp, OffsetDigitized: "+02:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44+02:00"}},
		{"original before digitized", tags{DateTimeOriginal: stamp, DateTimeDigitized: "2027:01:01 00:00:00"}, thumb.CameraInfo{1, "2026-03-02T08:12:44"}},
		{"time of change is not a time of taking", tags{DateTime: stamp}, thumb.CameraInfo{Orientation: 1}},
		{"clock never set", tags{DateTimeOriginal: "0000:00:00 00:00:00"}, thumb.CameraInfo{Orientation: 1}},
		{"clock blank", tags{DateTimeOriginal: "    :  :     :  :  "}, thumb.CameraInfo{Orientation: 1}},
		{"no such day", tags{DateTimeOriginal: "2026:02:30 08:12:44"}, thumb.CameraInfo{Orientation: 1}},
		{"no such hour", tags{DateTimeOriginal: "2026:03:02 24:12:44"}, thumb.CameraInfo{Orientation: 1}},
		{"before there were cameras that write it", tags{DateTimeOriginal: "1904:01:01 00:00:00"}, thumb.CameraInfo{Orientation: 1}},
		{"words", tags{DateTimeOriginal: "just before lunch"}, thumb.CameraInfo{Orientation: 1}},
		{"everything", everything(3), thumb.CameraInfo{3, "2026-03-02T08:12:44+09:30"}},
	}
	view := mediatest.Corners(32, 32)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			notes := mediatest.Exif(tt.tags)
			for format, b := range map[media.Format][]byte{media.JPEG: mediatest.JPEG(view, 90, notes), media.PNG: mediatest.PNG(view, notes)} {
				got, err := thumb.Camera(bytes.NewReader(b), format)
				if err != nil || got != tt.want {
					t.Errorf("%v: %+v, %v, want %+v", format, got, err, tt.want)
				}
			}
		})
	}
}

func TestCameraWithoutNotes(t *testing.T) {
	for format, b := range map[media.Format][]byte{
		media.JPEG: mediatest.JPEG(mediatest.Corners(32, 32), 90, nil),
		media.PNG:  mediatest.PNG(mediatest.Corners(32, 32), nil),
	} {
		got, err := thumb.Camera(bytes.NewReader(b), format)
		if err != nil || got != (thumb.CameraInfo{Orientation: thumb.Upright}) {
			t.Errorf("%v: %+v, %v", format, got, err)
		}
	}
}

// Broken notes never keep a photo out: cut or flipped anywhere, the photo still
// gets its thumbnail.
func TestBrokenNotesRefuseNothing(t *testing.T) {
	notes := mediatest.Exif(mediatest.ExifTags{Orientation: 6, DateTimeOriginal: "2026:03:02 08:12:44", Location: true})
	view := mediatest.Corners(64, 48)
	for i := range notes {
		flipped := bytes.Clone(notes)
		flipped[i] ^= 0xff
		for name, broken := range map[string][]byte{"cut": notes[:i], "flipped": flipped} {
			b := mediatest.JPEG(view, 90, broken)
			info, err := thumb.Camera(bytes.NewReader(b), media.JPEG)
			if err != nil || info.Orientation < 1 || info.Orientation > 8 {
				t.Fatalf("%s at %d: %+v, %v", name, i, info, err)
			}
			mustMake(t, b)
		}
	}
}

func TestCameraOnABrokenDisk(t *testing.T) {
	broken := errors.New("the disk is gone")
	b := mediatest.JPEG(mediatest.Corners(32, 32), 90, mediatest.Exif(mediatest.ExifTags{Orientation: 6}))
	for n := range 100 {
		r := &breaking{ReadSeeker: bytes.NewReader(b), after: n, err: broken}
		info, err := thumb.Camera(r, media.JPEG)
		if r.met != errors.Is(err, broken) {
			t.Fatalf("broken after %d bytes: %v", n, err)
		}
		if err != nil && info.Orientation != thumb.Upright {
			t.Fatalf("broken after %d bytes: %+v", n, info)
		}
	}
}

// breaking gives one byte at a time, and err after so many.
type breaking struct {
	io.ReadSeeker
	after int
	err   error
	met   bool
}

func (r *breaking) Read(p []byte) (int, error) {
	if r.after == 0 {
		r.met = true
		return 0, r.err
	}
	r.after--
	return r.ReadSeeker.Read(p[:min(1, len(p))])
}

func FuzzCamera(f *testing.F) {
	view := mediatest.Corners(16, 16)
	all := mediatest.Exif(everything(5))
	f.Add(mediatest.JPEG(view, 50, all), false)
	f.Add(mediatest.PNG(view, all), true)
	f.Add(mediatest.JPEG(view, 50, all[:40]), false)
	f.Add([]byte("\xff\xd8\xff\xe1\xff\xffExif\x00\x00MM"), false)
	f.Add([]byte{}, true)
	f.Fuzz(func(t *testing.T, b []byte, png bool) {
		format := media.JPEG
		if png {
			format = media.PNG
		}
		info, err := thumb.Camera(bytes.NewReader(b), format)
		if err != nil || info.Orientation < 1 || info.Orientation > 8 {
			t.Fatalf("%+v, %v", info, err)
		}
		if n := len(info.Taken); n != 0 && n != len("2026-03-02T08:12:44") && n != len("2026-03-02T08:12:44+01:00") {
			t.Fatalf("taken %q", info.Taken)
		}
	})
}

// Whatever passes the gate gets a thumbnail or an error, and nothing falls over.
func FuzzMake(f *testing.F) {
	view := mediatest.Corners(40, 30)
	f.Add(mediatest.JPEG(view, 50, mediatest.Exif(mediatest.ExifTags{Orientation: 7})))
	f.Add(mediatest.PNG(view, nil))
	f.Add(mediatest.HeaderJPEG(1000, 900))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := media.Inspect(t.Context(), bytes.NewReader(b), media.Limits{Pixels: 1 << 20})
		if err != nil {
			return
		}
		if small, err := thumb.Make(t.Context(), bytes.NewReader(b), p); err == nil {
			checked(t, small)
		}
	})
}
