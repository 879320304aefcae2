package media

import (
	"bytes"
	"unicode/utf8"
)

// sniffLen is how much of the start of a file sniff wants to see.
const sniffLen = 64

const (
	jpegMagic = "\xff\xd8"
	pngMagic  = "\x89PNG\r\n\x1a\n"
)

// HeadLen is how much of the start of a file [FormatOf] wants to see.
const HeadLen = sniffLen

// FormatOf tells the format of a picture from the first [HeadLen] bytes of its
// file, or all of them. What is not let in gives a [*Refused].
func FormatOf(head []byte) (Format, error) { return sniff(head) }

// sniff tells the format from the first bytes of a file, all of them if the file
// is shorter than sniffLen. Anything but JPEG and PNG is refused by name where
// the name is known, so that the person learns what to do. Neither a file's name
// nor a browser's word about its type is asked: both are often wrong.
func sniff(head []byte) (Format, error) {
	switch {
	case len(head) == 0:
		return 0, empty()
	case bytes.HasPrefix(head, []byte(jpegMagic)):
		return JPEG, nil
	case bytes.HasPrefix(head, []byte(pngMagic)):
		return PNG, nil
	case len(head) < len(pngMagic) && bytes.HasPrefix([]byte(pngMagic), head):
		return 0, truncated(PNG)
	case len(head) == 1 && head[0] == jpegMagic[0]:
		return 0, truncated(JPEG)
	}
	if name := pictureName(head); name != "" {
		return 0, &Refused{WrongFormat, "this is " + name + " picture", doSave}
	}
	if name := otherName(head); name != "" {
		return 0, &Refused{NotAPhoto, "this is a " + name + ", not a photograph", doChoose}
	}
	return 0, &Refused{NotAPhoto, "this file is not a photograph", doChoose}
}

// pictureName names the picture formats that are not let in, article included.
func pictureName(head []byte) string {
	switch {
	case hasAny(head, "II*\x00", "MM\x00*", "II+\x00", "MM\x00+"):
		return "a TIFF" // most cameras' raw files are TIFF inside
	case hasAny(head, "GIF87a", "GIF89a"):
		return "a GIF"
	case hasAny(head, "RIFF") && at(head, 8, "WEBP"):
		return "a WebP"
	case at(head, 4, "ftyp") && (at(head, 8, "avif") || at(head, 8, "avis")):
		return "an AVIF"
	case at(head, 4, "ftyp") && (at(head, 8, "hei") || at(head, 8, "hev") || at(head, 8, "mif1") || at(head, 8, "msf1")):
		return "a HEIC"
	case at(head, 4, "ftyp") && at(head, 8, "crx "):
		return "a raw camera"
	case hasAny(head, "BM") && at(head, 6, "\x00\x00\x00\x00"):
		return "a BMP"
	case hasAny(head, "\xff\x0a", "\x00\x00\x00\x0cJXL "):
		return "a JPEG XL"
	case hasAny(head, "\xff\x4f\xff\x51", "\x00\x00\x00\x0cjP  "):
		return "a JPEG 2000"
	default:
		return ""
	}
}

// otherName names what people add by mistake.
func otherName(head []byte) string {
	switch {
	case hasAny(head, "%PDF-"):
		return "PDF document"
	case at(head, 4, "ftyp"), hasAny(head, "\x1aE\xdf\xa3"), hasAny(head, "RIFF") && at(head, 8, "AVI "):
		return "film"
	case hasAny(head, "PK\x03\x04"):
		return "ZIP archive"
	case looksLikeText(head):
		return "text file"
	default:
		return ""
	}
}

func hasAny(head []byte, starts ...string) bool {
	for _, s := range starts {
		if at(head, 0, s) {
			return true
		}
	}
	return false
}

func at(head []byte, offset int, s string) bool {
	return len(head) >= offset+len(s) && string(head[offset:offset+len(s)]) == s
}

// looksLikeText allows for a rune that the end of head cuts in two.
func looksLikeText(head []byte) bool {
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		if r == utf8.RuneError && n == 1 {
			return !utf8.FullRune(head)
		}
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' {
			return false
		}
		head = head[n:]
	}
	return true
}
