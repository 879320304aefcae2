package media

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
)

// Markers of segments that say something about a picture (ITU-T T.81, B.2.4.6
// and B.2.4.5).
const (
	mAPP0  = 0xe0 // JFIF
	mAPP2  = 0xe2 // colour profiles, and other pictures behind this one
	mAPP14 = 0xee // how the colours are coded
	mAPPf  = 0xef
	mCOM   = 0xfe
)

// Strip returns a photograph without all that camera and programs noted in it,
// where it was taken before all: what is left is the picture, bit for bit, how
// its colours are meant, and how it is to be turned (1 to 8, as Exif has it).
// Pictures that a camera put behind or into it, such as previews, are gone
// too. bare says that there was nothing to take out. The bytes of raw are read
// as long as the result is.
func Strip(raw []byte, format Format, orientation int) (left io.Reader, bare bool, err error) {
	s := stripping{raw: raw}
	switch format {
	case JPEG:
		err = s.jpeg(orientation)
	case PNG:
		err = s.png(orientation)
	default:
		return nil, false, &Refused{WrongFormat, "this picture is of a format that cannot be read", doRetake}
	}
	if err != nil {
		return nil, false, err
	}
	if !s.took {
		return bytes.NewReader(raw), true, nil
	}
	return io.MultiReader(s.parts...), false, nil
}

// stripping goes through a photograph and gathers what stays.
type stripping struct {
	raw   []byte
	parts []io.Reader
	took  bool // something was taken out
}

func (s *stripping) keep(b []byte) { s.parts = append(s.parts, bytes.NewReader(b)) }

func (s *stripping) jpeg(orientation int) error {
	if !bytes.HasPrefix(s.raw, []byte{0xff, mSOI}) {
		return damaged(JPEG, "it does not begin as one")
	}
	s.keep(s.raw[:2])
	turned := orientation < 2
	for at, scan := 2, false; ; {
		// What stands before a marker is the coded picture behind the header of
		// a scan, and nothing elsewhere.
		begin := at
		marker, next := markerAt(s.raw, at)
		if next < 0 {
			return truncated(JPEG)
		}
		if scan {
			s.keep(s.raw[begin : next-2])
		} else if next-2 > begin {
			s.took = true
		}
		at = next
		switch {
		case marker == mEOI:
			s.keep(s.raw[next-2 : next])
			s.took = s.took || next < len(s.raw)
			return nil
		case marker == mTEM || marker >= mRST0 && marker <= mRST7:
			s.keep(s.raw[next-2 : next])
			continue
		}
		if len(s.raw) < next+2 {
			return truncated(JPEG)
		}
		length := int(binary.BigEndian.Uint16(s.raw[next:]))
		if length < 2 || len(s.raw) < next+length {
			return truncated(JPEG)
		}
		body := s.raw[next+2 : next+length]
		at, scan = next+length, marker == mSOS
		if notes(marker, body) {
			s.took = true
			continue
		}
		if !turned && marker != mAPP0 {
			s.keep(segment(append([]byte(exifMark), turn(orientation)...)))
			turned = true
		}
		s.keep(s.raw[next-2 : next+length])
	}
}

// markerAt finds the next marker, and where what follows it begins; -1 if
// there is none.
func markerAt(raw []byte, at int) (marker byte, next int) {
	for at < len(raw) {
		i := bytes.IndexByte(raw[at:], 0xff)
		if i < 0 || at+i+1 >= len(raw) {
			return 0, -1
		}
		at += i + 1
		if m := raw[at]; m != 0 && m != 0xff {
			return m, at + 1
		}
	}
	return 0, -1
}

// notes reports whether a segment says more than how the picture is decoded.
func notes(marker byte, body []byte) bool {
	switch {
	case marker == mAPP0:
		return !bytes.HasPrefix(body, []byte("JFIF\x00"))
	case marker == mAPP2:
		return !bytes.HasPrefix(body, []byte("ICC_PROFILE\x00"))
	case marker == mAPP14:
		return !bytes.HasPrefix(body, []byte("Adobe"))
	default:
		return marker > mAPP0 && marker <= mAPPf || marker == mCOM
	}
}

// segment is an APP1 segment.
func segment(body []byte) []byte {
	s := binary.BigEndian.AppendUint16([]byte{0xff, mAPP0 + 1}, uint16(len(body)+2))
	return append(s, body...)
}

// turn is Exif notes that hold nothing but the orientation: a TIFF header and
// one directory with one entry (CIPA DC-008, 4.5.2, 4.6.4).
func turn(orientation int) []byte {
	return []byte{'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(orientation), 0, 0, 0, 0, 0, 0}
}

// png keeps the chunks that a decoder goes by (PNG, third edition, 11.2 and
// 11.3).
func (s *stripping) png(orientation int) error {
	const frame = 12 // length, name and check of a chunk
	if !bytes.HasPrefix(s.raw, []byte(pngMagic)) {
		return damaged(PNG, "it does not begin as one")
	}
	s.keep(s.raw[:len(pngMagic)])
	for at := len(pngMagic); ; {
		if len(s.raw) < at+frame {
			return truncated(PNG)
		}
		length := int64(binary.BigEndian.Uint32(s.raw[at:]))
		if int64(len(s.raw)) < int64(at)+frame+length {
			return truncated(PNG)
		}
		chunk := s.raw[at : at+frame+int(length)]
		at += len(chunk)
		switch name := string(chunk[4:8]); name {
		case "IHDR":
			s.keep(chunk)
			if orientation > 1 {
				s.keep(exifChunk(orientation))
			}
		case "PLTE", "IDAT", "tRNS", "gAMA", "cHRM", "sRGB", "iCCP", "sBIT", "pHYs", "bKGD":
			s.keep(chunk)
		case "IEND":
			s.keep(chunk)
			s.took = s.took || at < len(s.raw)
			return nil
		default:
			s.took = true
		}
	}
}

func exifChunk(orientation int) []byte {
	named := append([]byte("eXIf"), turn(orientation)...)
	c := binary.BigEndian.AppendUint32(nil, uint32(len(named)-4))
	return binary.BigEndian.AppendUint32(append(c, named...), crc32.ChecksumIEEE(named))
}
