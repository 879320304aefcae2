package media_test

import (
	"bytes"
	"encoding/binary"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"testing/iotest"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
)

func sampleJPEG() []byte { return mediatest.JPEG(mediatest.Corners(64, 48), 90, nil) }

func samplePNG() []byte { return mediatest.PNG(mediatest.Corners(64, 48), nil) }

// onDisk is a store in a folder and a function that lists the files in it.
func onDisk(t *testing.T) (*photodir.Dir, func() []string) {
	t.Helper()
	root := t.TempDir()
	dir, err := photodir.Open(root)
	if err != nil {
		t.Fatal(err)
	}
	return dir, func() []string {
		var files []string
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				files = append(files, d.Name())
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return files
	}
}

func TestReceiveKeepsTheOriginal(t *testing.T) {
	second := slices.Concat(sampleJPEG(), sampleJPEG())
	padded := slices.Insert(sampleJPEG(), 2, 0xff, 0xff, 0xff, 0xff)
	tests := []struct {
		name   string
		bytes  []byte
		format media.Format
	}{
		{"JPEG", sampleJPEG(), media.JPEG},
		{"PNG", samplePNG(), media.PNG},
		{"JPEG with camera notes", mediatest.JPEG(mediatest.Corners(64, 48), 90, mediatest.Exif(mediatest.ExifTags{Orientation: 6})), media.JPEG},
		{"JPEG with a second picture behind it", second, media.JPEG},
		{"JPEG with zeros behind it", append(sampleJPEG(), make([]byte, 300_000)...), media.JPEG},
		{"JPEG with fill bytes before a marker", padded, media.JPEG},
		{"PNG with bytes behind it", append(samplePNG(), "note"...), media.PNG},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir, files := onDisk(t)
			want := media.Photo{Ref: media.RefOf(tt.bytes), Bytes: int64(len(tt.bytes)), Format: tt.format, Width: 64, Height: 48, PerPixel: map[media.Format]int{media.JPEG: 1, media.PNG: 5}[tt.format]}
			for name, r := range map[string]io.Reader{
				"at once":      bytes.NewReader(tt.bytes),
				"byte by byte": iotest.OneByteReader(bytes.NewReader(tt.bytes)),
				"end with it":  iotest.DataErrReader(bytes.NewReader(tt.bytes)),
			} {
				got, err := media.Receive(t.Context(), dir, r, media.DefaultLimits())
				if err != nil || got != want {
					t.Fatalf("%s: %+v, %v, want %+v", name, got, err, want)
				}
			}
			f, _, err := dir.Open(t.Context(), want.Ref)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if kept, err := io.ReadAll(f); err != nil || !bytes.Equal(kept, tt.bytes) {
				t.Errorf("kept %d bytes (%v), want the %d that came", len(kept), err, len(tt.bytes))
			}
			if got := files(); !slices.Equal(got, []string{want.Ref.Hex()}) {
				t.Errorf("files %q, want one", got)
			}
			again, err := media.Inspect(t.Context(), bytes.NewReader(tt.bytes), media.Limits{})
			if err != nil || again != want {
				t.Errorf("Inspect: %+v, %v, want %+v", again, err, want)
			}
		})
	}
}

func TestReceiveAtOnceStoresOnce(t *testing.T) {
	dir, files := onDisk(t)
	whole := sampleJPEG()
	var wg sync.WaitGroup
	for range 16 {
		wg.Go(func() {
			photo, err := media.Receive(t.Context(), dir, bytes.NewReader(whole), media.DefaultLimits())
			if err != nil || photo.Ref != media.RefOf(whole) {
				t.Errorf("%+v, %v", photo, err)
			}
		})
	}
	wg.Wait()
	if got := files(); len(got) != 1 {
		t.Errorf("files %q, want one", got)
	}
}

// Every segment but the picture itself, longer than any buffer.
func TestReceiveLongSegments(t *testing.T) {
	b := sampleJPEG()
	segment := binary.BigEndian.AppendUint16([]byte{0xff, 0xe5}, 0xffff)
	segment = append(segment, bytes.Repeat([]byte{0xff, 0xd9}, 0xfffd/2)...)
	segment = append(segment, 0)
	for range 20 {
		b = slices.Insert(b, 2, segment...)
	}
	photo, err := media.Inspect(t.Context(), bytes.NewReader(b), media.Limits{})
	if err != nil || photo.Width != 64 || photo.Height != 48 {
		t.Errorf("%+v, %v", photo, err)
	}
}

func TestFormat(t *testing.T) {
	tests := []struct {
		f               media.Format
		name, mediaType string
	}{
		{0, "Format(0)", ""},
		{media.JPEG, "JPEG", "image/jpeg"}, // RFC 2046, 4.2
		{media.PNG, "PNG", "image/png"},    // IANA, W3C PNG annex A
	}
	for _, tt := range tests {
		if tt.f.String() != tt.name || tt.f.MediaType() != tt.mediaType {
			t.Errorf("%d: %q, %q, want %q, %q", tt.f, tt.f.String(), tt.f.MediaType(), tt.name, tt.mediaType)
		}
	}
}
