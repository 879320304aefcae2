package bag

import (
	"archive/zip"
	"bufio"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
)

// The parts of a ZIP file that are looked at before the standard library reads
// it, which trusts the file with its memory.
const (
	endLen       = 22
	recordLen    = 46
	headerLen    = 30
	endMark      = "PK\x05\x06"
	recordMark   = "PK\x01\x02"
	headerMark   = "PK\x03\x04"
	locatorMark  = "PK\x06\x07" // of a directory for 64 bits, right before the end
	locatorLen   = 20
	most16       = 1<<16 - 1
	most32       = 1<<32 - 1
	flagHidden   = 1  // encrypted
	mostBehind   = 24 // bytes behind a file's own: how many they are, and their sum
	unpackAtOnce = 1 << 20
)

// unpackable opens the ZIP file if its directory is one that a program makes
// which packs a folder: of bounded size, at the end, with nothing behind it.
func unpackable(r io.ReaderAt, size int64) (*zip.Reader, []int64, int64, error) {
	if size > MaxBytes {
		return nil, nil, 0, refuse(TooLarge, "", "This file has %d bytes; a dossier has at most %d.", size, int64(MaxBytes))
	}
	if size < endLen {
		return nil, nil, 0, refuse(NotZip, "", "This file is not a dossier: it has only %d bytes.", size)
	}
	var head [len(headerMark)]byte
	if err := readAt(r, head[:], 0); err != nil {
		return nil, nil, 0, err
	}
	if string(head[:]) != headerMark && string(head[:]) != endMark {
		return nil, nil, 0, refuse(NotZip, "", "This file is not a dossier: a dossier is a ZIP file, and this is another kind of file.")
	}
	var end [endLen]byte
	if err := readAt(r, end[:], size-endLen); err != nil {
		return nil, nil, 0, err
	}
	records, length, start := int64(le16(end[10:])), int64(le32(end[12:])), int64(le32(end[16:]))
	switch {
	case string(end[:4]) != endMark || start+length+endLen != size && start != most32:
		return nil, nil, 0, refuse(NotZip, "", "This file is not a whole ZIP file. It may be cut off: have it sent again.")
	case records > MaxFiles || records == most16 || start == most32 || length == most32:
		return nil, nil, 0, refuse(TooMany, "", "This ZIP file holds more than %d files, or more bytes than a dossier can have.", MaxFiles)
	case length > maxDirectory:
		return nil, nil, 0, refuse(TooLarge, "", "The directory of this ZIP file has %d bytes; that of a dossier has at most %d.", length, maxDirectory)
	}
	offsets, err := walk(io.NewSectionReader(r, start, length), records)
	if err != nil {
		return nil, nil, 0, err
	}
	if err := single(r, size); err != nil {
		return nil, nil, 0, err
	}
	z, err := zip.NewReader(r, size)
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, nil, 0, trouble("", err)
	}
	if len(z.File) != len(offsets) {
		return nil, nil, 0, twoWays()
	}
	return z, offsets, start, nil
}

// single checks that nothing leads to a second directory. The standard library
// follows such a lead where the first one has 65535 bytes.
func single(r io.ReaderAt, size int64) error {
	if size < endLen+locatorLen {
		return nil
	}
	var mark [len(locatorMark)]byte
	if err := readAt(r, mark[:], size-endLen-locatorLen); err != nil {
		return err
	}
	if string(mark[:]) == locatorMark {
		return twoWays()
	}
	return nil
}

func twoWays() error {
	return refuse(Malformed, "", "The directory of this ZIP file can be read in two ways.")
}

// walk goes through the directory and returns where each file begins.
func walk(directory *io.SectionReader, records int64) ([]int64, error) {
	r := bufio.NewReader(directory)
	var offsets []int64
	for at := int64(0); at < directory.Size(); {
		var b [recordLen]byte
		if _, err := io.ReadFull(r, b[:]); err != nil {
			return nil, trouble("", err)
		}
		if string(b[:4]) != recordMark {
			return nil, trouble("", zip.ErrFormat)
		}
		behind := int(le16(b[28:])) + int(le16(b[30:])) + int(le16(b[32:]))
		if _, err := r.Discard(behind); err != nil {
			return nil, trouble("", err)
		}
		offsets = append(offsets, int64(le32(b[42:])))
		at += int64(recordLen + behind)
		if int64(len(offsets)) > records {
			break
		}
	}
	if int64(len(offsets)) != records {
		return nil, refuse(Malformed, "", "The directory of this ZIP file does not hold the %d files that it states.", records)
	}
	return offsets, nil
}

// apart checks that each file has bytes of its own, all before the directory
// with nothing in between, and says of itself what the directory says: programs
// differ in which of the two they believe.
func apart(r io.ReaderAt, z *zip.Reader, offsets []int64, start int64) error {
	order := make([]int, len(offsets))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(offsets[a], offsets[b]) })
	end := int64(0)
	for _, i := range order {
		f, at := z.File[i], offsets[i]
		if at < end {
			return refuse(Overlaps, f.Name, "In this ZIP file the bytes of %q are those of another file too.", f.Name)
		}
		if at > end+mostBehind || end == 0 && at > 0 {
			return refuse(Malformed, f.Name, "In this ZIP file stand bytes before %q that belong to no file.", f.Name)
		}
		var b [headerLen]byte
		if err := readAt(r, b[:], at); err != nil {
			return err
		}
		name := make([]byte, le16(b[26:]))
		if err := readAt(r, name, at+headerLen); err != nil {
			return err
		}
		if string(b[:4]) != headerMark || string(name) != f.Name || le16(b[8:]) != f.Method || (le16(b[6:])^f.Flags)&flagHidden != 0 {
			return refuse(Malformed, f.Name, "In this ZIP file %q is called or packed otherwise in the directory than before its bytes.", f.Name)
		}
		end = at + headerLen + int64(len(name)) + int64(le16(b[28:])) + int64(f.CompressedSize64)
		if f.CompressedSize64 > MaxBytes || end > start {
			return refuse(Overlaps, f.Name, "In this ZIP file %q reaches beyond the end.", f.Name)
		}
	}
	if start > end+mostBehind {
		return refuse(Malformed, "", "In this ZIP file stand bytes behind the last file that belong to no file.")
	}
	return nil
}

func readAt(r io.ReaderAt, b []byte, at int64) error {
	if n, err := r.ReadAt(b, at); n < len(b) {
		return trouble("", err)
	}
	return nil
}

func le16(b []byte) uint16 { return binary.LittleEndian.Uint16(b) }
func le32(b []byte) uint32 { return binary.LittleEndian.Uint32(b) }

// trouble tells a file that is no good from a disk that cannot be read.
func trouble(path string, err error) error {
	if !bent(err) {
		return fmt.Errorf("read the dossier: %w", err)
	}
	return refuse(NotZip, path, "This file is not a whole ZIP file. It may have been damaged on its way: have it sent again.")
}
