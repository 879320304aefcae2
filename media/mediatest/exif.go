package mediatest

import (
	"encoding/binary"
	"slices"
)

// ExifTags are the tags that [Exif] writes; empty ones are left out. The numbers
// are those of CIPA DC-008 (Exif 2.32), 4.6.
type ExifTags struct {
	Orientation       int    // 0x0112, in the first directory
	DateTime          string // 0x0132, the same: when the file was changed
	DateTimeOriginal  string // 0x9003, in the Exif directory like all below
	DateTimeDigitized string // 0x9004
	OffsetOriginal    string // 0x9011
	OffsetDigitized   string // 0x9012
	SubSecOriginal    string // 0x9291
	Location          bool   // GPS directory 0x8825 with a latitude

	PreviewOrientation int // 0x0112 in the second directory, which is about the preview
}

const exifHeader = "Exif\x00\x00"

// Exif is a hand-made payload for [JPEG] and [PNG]: "Exif", two zero bytes, and a
// TIFF structure in big-endian order.
func Exif(tags ExifTags) []byte {
	var first, exif, gps, preview directory
	if tags.Orientation != 0 {
		first.short(0x0112, uint16(tags.Orientation))
	}
	first.text(0x0132, tags.DateTime)
	exif.text(0x9003, tags.DateTimeOriginal)
	exif.text(0x9004, tags.DateTimeDigitized)
	exif.text(0x9011, tags.OffsetOriginal)
	exif.text(0x9012, tags.OffsetDigitized)
	exif.text(0x9291, tags.SubSecOriginal)
	if tags.Location {
		gps.text(0x0001, "N")
		gps.rationals(0x0002, 47, 1, 22, 1, 33, 1)
	}
	if tags.PreviewOrientation != 0 {
		preview.short(0x0112, uint16(tags.PreviewOrientation))
	}

	// The first directory stands at offset 8, the others behind it.
	const start = 8
	if len(exif.entries) > 0 {
		first.long(0x8769, 0)
	}
	if len(gps.entries) > 0 {
		first.long(0x8825, 0)
	}
	exifAt := start + first.size()
	gpsAt := exifAt + exif.size()
	previewAt := gpsAt + gps.size()
	for i, e := range first.entries {
		switch e.tag {
		case 0x8769:
			first.entries[i].value = binary.BigEndian.AppendUint32(nil, uint32(exifAt))
		case 0x8825:
			first.entries[i].value = binary.BigEndian.AppendUint32(nil, uint32(gpsAt))
		}
	}
	out := []byte(exifHeader + "MM\x00*\x00\x00\x00\x08")
	next := 0
	if len(preview.entries) > 0 {
		next = previewAt
	}
	out = append(out, first.encode(start, next)...)
	out = append(out, exif.encode(exifAt, 0)...)
	out = append(out, gps.encode(gpsAt, 0)...)
	return append(out, preview.encode(previewAt, 0)...)
}

// A directory is one IFD of TIFF 6.0, section 2: entries of twelve bytes in
// ascending order of their tags, values of more than four bytes behind them.
type directory struct{ entries []entry }

type entry struct {
	tag, kind uint16
	count     uint32
	value     []byte
}

func (d *directory) add(tag, kind uint16, count int, value []byte) {
	d.entries = append(d.entries, entry{tag, kind, uint32(count), value})
}

func (d *directory) text(tag uint16, s string) {
	if s != "" {
		d.add(tag, 2, len(s)+1, append([]byte(s), 0))
	}
}

func (d *directory) short(tag, v uint16) {
	d.add(tag, 3, 1, binary.BigEndian.AppendUint16(nil, v))
}

func (d *directory) long(tag uint16, v uint32) {
	d.add(tag, 4, 1, binary.BigEndian.AppendUint32(nil, v))
}

func (d *directory) rationals(tag uint16, parts ...uint32) {
	var b []byte
	for _, p := range parts {
		b = binary.BigEndian.AppendUint32(b, p)
	}
	d.add(tag, 5, len(parts)/2, b)
}

func (d *directory) size() int {
	n := 2 + 12*len(d.entries) + 4
	for _, e := range d.entries {
		if len(e.value) > 4 {
			n += len(e.value)
		}
	}
	return n
}

// encode writes the directory for its place at, and points to the next one, 0 if
// there is none.
func (d *directory) encode(at, next int) []byte {
	out := binary.BigEndian.AppendUint16(nil, uint16(len(d.entries)))
	var behind []byte
	behindAt := at + 2 + 12*len(d.entries) + 4
	for _, e := range d.entries {
		out = binary.BigEndian.AppendUint16(out, e.tag)
		out = binary.BigEndian.AppendUint16(out, e.kind)
		out = binary.BigEndian.AppendUint32(out, e.count)
		if len(e.value) > 4 {
			out = binary.BigEndian.AppendUint32(out, uint32(behindAt+len(behind)))
			behind = append(behind, e.value...)
			continue
		}
		out = append(out, append(slices.Clone(e.value), make([]byte, 4-len(e.value))...)...)
	}
	out = binary.BigEndian.AppendUint32(out, uint32(next))
	return append(out, behind...)
}
