package folder_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"testing"

	"fettlebook/journal/journaltest"
	"fettlebook/media"
)

// blank is a PNG of one colour with 16 bits a channel: few bytes, many pixels.
func blank(t *testing.T, width, height int) []byte {
	t.Helper()
	var out bytes.Buffer
	out.WriteString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		part := append([]byte(kind), data...)
		out.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data))))
		out.Write(part)
		out.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(part)))
	}
	head := binary.BigEndian.AppendUint32(nil, uint32(width))
	head = binary.BigEndian.AppendUint32(head, uint32(height))
	chunk("IHDR", append(head, 16, 6, 0, 0, 0))
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	row := make([]byte, 1+8*width)
	for range height {
		if _, err := z.Write(row); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	chunk("IDAT", packed.Bytes())
	chunk("IEND", nil)
	return out.Bytes()
}

// A picture of few bytes that unfolds to most of a gigabyte is refused before that, and of
// several heavy ones no more are decoded at once than the room holds.
func TestHeavyPictures(t *testing.T) {
	journaltest.Long(t)
	f := open(t, found(t))
	before := resident(t, "VmHWM")
	var refused *media.Refused
	if _, _, err := f.Snap(t.Context(), bytes.NewReader(blank(t, 9990, 10_000)), ""); !errors.As(err, &refused) || refused.Reason != media.TooManyPixels {
		t.Errorf("got %v", err)
	}
	for ref, err := range f.Photos.All(t.Context()) {
		t.Errorf("%v stayed (%v)", ref, err)
	}
	if grew := resident(t, "VmHWM") - before; grew > 100<<20 {
		t.Errorf("refusing it took %d MiB", grew>>20)
	}
	debug.SetGCPercent(20)
	defer debug.SetGCPercent(100)
	heavy := blank(t, 5000, 4500) // 200 million bytes each
	var all sync.WaitGroup
	for range 6 {
		all.Go(func() {
			if _, _, err := f.Snap(t.Context(), bytes.NewReader(heavy), ""); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if grew := resident(t, "VmHWM") - before; grew > 800<<20 {
		t.Errorf("six at once took %d MiB", grew>>20)
	}
}

// resident reads a figure of the process's memory.
func resident(t *testing.T, name string) int64 {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("/proc", "self", "status"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(raw), name+":")
	n, err := strconv.ParseInt(strings.Fields(rest)[0], 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n << 10
}
