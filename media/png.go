package media

import (
	"bufio"
	"encoding/binary"
	"hash/crc32"
	"io"
	"slices"
)

// walkPNG reads a PNG up to and including its last chunk, checks the checksum of
// every chunk on the way, and gives what its header says.
func walkPNG(r *bufio.Reader, maxPixels int64) (f frame, err error) {
	if _, err := r.Discard(len(pngMagic)); err != nil {
		return frame{}, cut(err, PNG)
	}
	for first, pixels := true, false; ; first = false {
		length, kind, err := chunkStart(r)
		if err != nil {
			return frame{}, err
		}
		sum := crc32.NewIEEE()
		sum.Write([]byte(kind))
		switch {
		case first != (kind == "IHDR"):
			return frame{}, damaged(PNG, "its header is not in its place")
		case first:
			if f, err = imageHeader(io.TeeReader(r, sum), length, maxPixels); err != nil {
				return frame{}, err
			}
		default:
			if _, err := io.CopyN(sum, r, length); err != nil {
				return frame{}, cut(err, PNG)
			}
		}
		var want [crc32.Size]byte
		if _, err := io.ReadFull(r, want[:]); err != nil {
			return frame{}, cut(err, PNG)
		}
		if binary.BigEndian.Uint32(want[:]) != sum.Sum32() {
			return frame{}, damaged(PNG, "a checksum in it is wrong")
		}
		switch kind {
		case "IDAT":
			pixels = true
		case "IEND":
			if !pixels {
				return frame{}, damaged(PNG, "there is no picture in it")
			}
			return f, nil
		}
	}
}

func chunkStart(r *bufio.Reader) (length int64, kind string, err error) {
	var b [8]byte
	if _, err := io.ReadFull(r, b[:]); err != nil {
		return 0, "", cut(err, PNG)
	}
	n := binary.BigEndian.Uint32(b[:4])
	if n > 1<<31-1 {
		return 0, "", damaged(PNG, "a part of it has an impossible length")
	}
	return int64(n), string(b[4:]), nil
}

// imageHeader reads the 13 bytes of the chunk IHDR: width, height, bit depth,
// colour type, compression, filter, interlace (PNG, section 11.2.1).
func imageHeader(r io.Reader, length, maxPixels int64) (f frame, err error) {
	const size = 13
	if length != size {
		return frame{}, damaged(PNG, "its header has the wrong length")
	}
	var h [size]byte
	if _, err := io.ReadFull(r, h[:]); err != nil {
		return frame{}, cut(err, PNG)
	}
	w, ht := binary.BigEndian.Uint32(h[0:]), binary.BigEndian.Uint32(h[4:])
	depth, colour, compression, filter, interlace := h[8], h[9], h[10], h[11], h[12]
	if !slices.Contains(depths(colour), depth) || compression != 0 || filter != 0 || interlace > 1 {
		return frame{}, damaged(PNG, "its header makes no sense")
	}
	if err := checkSize(w, ht, maxPixels, PNG); err != nil {
		return frame{}, err
	}
	f = frame{width: int(w), height: int(ht), perPixel: 5}
	if depth == 16 {
		f.perPixel = 9
	}
	if interlace == 1 { // what a pass gives is held beside the whole
		f.perPixel *= 2
	}
	return f, nil
}

// depths gives the bit depths allowed for a colour type (PNG, table 12).
func depths(colour byte) []byte {
	switch colour {
	case 0: // grey
		return []byte{1, 2, 4, 8, 16}
	case 3: // palette
		return []byte{1, 2, 4, 8}
	case 2, 4, 6: // colour, grey with alpha, colour with alpha
		return []byte{8, 16}
	default:
		return nil
	}
}
