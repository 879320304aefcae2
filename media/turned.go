package media

import (
	"bytes"
	"encoding/binary"
)

// exifMark begins the segment of a JPEG that holds Exif notes.
const exifMark = "Exif\x00\x00"

// Turned returns how a photograph that [Strip] left is to be turned (1 to 8, as
// Exif has it). plain is false if its Exif notes say anything more than that, or
// say it in another way: programs would then show it otherwise than is known
// here.
func Turned(raw []byte, format Format) (orientation int, plain bool) {
	var found [][]byte
	switch format {
	case JPEG:
		found = jpegNotes(raw)
	case PNG:
		found = pngNotes(raw)
	}
	switch len(found) {
	case 0:
		return 1, true
	case 1:
		for o := 1; o <= 8; o++ {
			if bytes.Equal(found[0], turn(o)) {
				return o, true
			}
		}
	}
	return 1, false
}

// jpegNotes returns the Exif notes before the picture.
func jpegNotes(raw []byte) (found [][]byte) {
	for at := 2; ; {
		marker, next := markerAt(raw, at)
		switch {
		case next < 0 || marker == mSOS || marker == mEOI:
			return found
		case marker == mTEM || marker >= mRST0 && marker <= mRST7:
			at = next
			continue
		}
		if len(raw) < next+2 {
			return found
		}
		length := int(binary.BigEndian.Uint16(raw[next:]))
		if length < 2 || len(raw) < next+length {
			return found
		}
		if body, is := bytes.CutPrefix(raw[next+2:next+length], []byte(exifMark)); is && marker == mAPP0+1 {
			found = append(found, body)
		}
		at = next + length
	}
}

// pngNotes returns the Exif notes, which may stand before the picture or behind
// it.
func pngNotes(raw []byte) (found [][]byte) {
	const frame = 12 // length, name and check of a chunk
	for at := len(pngMagic); at+frame <= len(raw); {
		length := int64(binary.BigEndian.Uint32(raw[at:]))
		if int64(len(raw)) < int64(at)+frame+length {
			break
		}
		if string(raw[at+4:at+8]) == "eXIf" {
			found = append(found, raw[at+8:at+8+int(length)])
		}
		at += frame + int(length)
	}
	return found
}
