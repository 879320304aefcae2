package bag_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"runtime"
	"strings"
	"testing"

	"fettlebook/journal/bag"
)

// A directory of 65535 bytes makes the standard library look for another one,
// which can be as long as the file: it is not read.
func TestSecondDirectory(t *testing.T) {
	const records = 200000
	name := "d/data/a.jpg"
	second := bytes.Repeat(append([]byte("PK\x01\x02"), make([]byte, 42)...), records)
	at := uint64(30 + len(name))
	end := []byte("PK\x06\x06")
	end = binary.LittleEndian.AppendUint64(end, 44)
	end = append(end, make([]byte, 12)...) // versions and disks
	for _, v := range []uint64{records, records, uint64(len(second)), at} {
		end = binary.LittleEndian.AppendUint64(end, v)
	}
	locator := binary.LittleEndian.AppendUint64([]byte("PK\x06\x07\x00\x00\x00\x00"), at+uint64(len(second)))
	locator = append(locator, 1, 0, 0, 0)

	var out bytes.Buffer
	w := zip.NewWriter(&out)
	h := &zip.FileHeader{Name: name, Method: zip.Store, Comment: strings.Repeat(" ", 65535-46-len(name)-len(locator)) + string(locator)}
	to, err := w.CreateHeader(h)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := to.Write(append(second, end...)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err = bag.Open(bytes.NewReader(out.Bytes()), int64(out.Len()))
	runtime.ReadMemStats(&after)
	var refused *bag.Refusal
	if !errors.As(err, &refused) || refused.Reason != bag.Malformed {
		t.Errorf("read: %v", err)
	}
	if took := after.TotalAlloc - before.TotalAlloc; took > 4<<20 {
		t.Errorf("to refuse it took %d bytes of memory", took)
	}
}

// unreadable is a file on a disk that fails from some byte on.
type unreadable struct {
	*bytes.Reader
	from, to int64
}

func (u unreadable) ReadAt(p []byte, at int64) (int, error) {
	if at < u.to && at+int64(len(p)) > u.from {
		return 0, errDisk
	}
	return u.Reader.ReadAt(p, at)
}

var errDisk = errors.New("the disk cannot be read")

// A disk that cannot be read is not a file that was damaged on its way.
func TestUnreadableDisk(t *testing.T) {
	raw := packed(t, "d", some()...)
	end := len(raw) - 22
	start := int64(binary.LittleEndian.Uint32(raw[end+16:]))
	for _, bad := range []unreadable{{from: start, to: int64(end)}, {from: int64(end), to: int64(len(raw))}, {from: 0, to: 30}} {
		bad.Reader = bytes.NewReader(raw)
		if _, err := bag.Open(io.NewSectionReader(bad, 0, int64(len(raw))), int64(len(raw))); !errors.Is(err, errDisk) || errors.As(err, new(*bag.Refusal)) {
			t.Errorf("unreadable from %d to %d: %v", bad.from, bad.to, err)
		}
	}
}
