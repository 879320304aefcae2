package scene

import (
	"bytes"
	"encoding/binary"
	"image"
	"time"
)

// Tags of Exif 2.32 (CIPA DC-008-2019): those that it demands of every JPEG, and when and which way up it was taken.
const (
	tagOrientation        = 0x0112
	tagXResolution        = 0x011a
	tagYResolution        = 0x011b
	tagResolutionUnit     = 0x0128
	tagYCbCrPositioning   = 0x0213
	tagExifIFD            = 0x8769
	tagExifVersion        = 0x9000
	tagDateTimeOriginal   = 0x9003
	tagOffsetTimeOriginal = 0x9011
	tagComponents         = 0x9101
	tagFlashpixVersion    = 0xa000
	tagColorSpace         = 0xa001
	tagPixelXDimension    = 0xa002
	tagPixelYDimension    = 0xa003
)

// Types of values, of TIFF 6.0.
const (
	typeASCII     = 2
	typeShort     = 3
	typeLong      = 4
	typeRational  = 5
	typeUndefined = 7
)

// Values of the orientation tag that the camera writes.
const (
	upright  = 1
	sideways = 6 // row 0 is the right side of the picture, column 0 its top: turn a quarter clockwise to look at it
)

// Values that are the same in every picture.
const (
	perInch = 2 // of ResolutionUnit
	middle  = 1 // of YCbCrPositioning
	sRGB    = 1 // of ColorSpace
)

// field is one entry of a TIFF directory. Values of up to four bytes stand in the entry, longer ones behind the directory.
type field struct {
	tag, kind uint16
	count     uint32
	value     []byte
}

func short(tag, v uint16) field {
	return field{tag, typeShort, 1, binary.BigEndian.AppendUint16(nil, v)}
}

func long(tag uint16, v uint32) field {
	return field{tag, typeLong, 1, binary.BigEndian.AppendUint32(nil, v)}
}

func ascii(tag uint16, v string) field {
	return field{tag, typeASCII, uint32(len(v) + 1), append([]byte(v), 0)}
}

func rational(tag uint16, over, under uint32) field {
	return field{tag, typeRational, 1, binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, over), under)}
}

func undefined(tag uint16, v string) field {
	return field{tag, typeUndefined, uint32(len(v)), []byte(v)}
}

// directory lays out the fields for a directory that begins at offset, and what does not fit into them behind it.
func directory(offset int, fields ...field) []byte {
	var dir, rest bytes.Buffer
	put := func(v any) { _ = binary.Write(&dir, binary.BigEndian, v) } // a bytes.Buffer takes every write
	after := offset + 2 + 12*len(fields) + 4
	put(uint16(len(fields)))
	for _, f := range fields {
		put(f.tag)
		put(f.kind)
		put(f.count)
		if len(f.value) <= 4 {
			dir.Write(append(f.value, make([]byte, 4-len(f.value))...))
			continue
		}
		put(uint32(after + rest.Len()))
		rest.Write(f.value)
		if rest.Len()%2 == 1 {
			rest.WriteByte(0)
		}
	}
	put(uint32(0)) // no further directory
	return append(dir.Bytes(), rest.Bytes()...)
}

// exifPayload is what the APP1 segment of a picture of that size carries: which way up it is stored, and when it was
// taken, to the second, with the zone offset of taken.
func exifPayload(orientation uint16, size image.Point, taken time.Time) []byte {
	const head = 8 // byte order, 42, offset of the first directory
	about := func(exifAt int) []byte {
		return directory(head,
			short(tagOrientation, orientation),
			rational(tagXResolution, 72, 1),
			rational(tagYResolution, 72, 1),
			short(tagResolutionUnit, perInch),
			short(tagYCbCrPositioning, middle),
			long(tagExifIFD, uint32(exifAt)),
		)
	}
	exifAt := head + len(about(0))
	out := append([]byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08"), about(exifAt)...)
	return append(out, directory(exifAt,
		undefined(tagExifVersion, "0232"),
		ascii(tagDateTimeOriginal, taken.Format("2006:01:02 15:04:05")),
		ascii(tagOffsetTimeOriginal, taken.Format("-07:00")),
		undefined(tagComponents, "\x01\x02\x03\x00"), // Y, Cb, Cr
		undefined(tagFlashpixVersion, "0100"),
		short(tagColorSpace, sRGB),
		long(tagPixelXDimension, uint32(size.X)),
		long(tagPixelYDimension, uint32(size.Y)),
	)...)
}
