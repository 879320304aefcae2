package thumb

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/bep/imagemeta"

	"fettlebook/media"
)

// Orientation is how the stored picture has to be turned to stand upright: the
// numbers 1 to 8 of the Exif tag Orientation (0x0112; CIPA DC-008, 4.6.4).
type Orientation int

// Upright is a picture that is stored as it should be seen.
const Upright Orientation = 1

// CameraInfo is what the camera noted in the photo's Exif part. It is the
// camera's word: clocks are wrong, and any program can write these notes.
type CameraInfo struct {
	// Orientation is Upright if there is none, or none that makes sense.
	Orientation Orientation

	// Taken is when the camera says it took the photo, in the shape of RFC
	// 3339 to the second: "2026-03-02T08:12:44+01:00", or without a zone, as
	// most cameras write it, "2026-03-02T08:12:44" by the camera's own clock.
	// It is "" if the camera gave no time, or one that cannot be.
	Taken string
}

const (
	// maxTags is far more than the two Exif directories read here hold.
	maxTags = 500

	// maxTagBytes is more than a time stamp takes. Longer values, such as
	// makers' notes and previews, are not even read.
	maxTagBytes = 64

	// firstYear is before any camera that writes Exif; older years come from
	// a clock that was never set.
	firstYear = 1980
)

// The namespaces and tag names of the two directories, as imagemeta calls them.
const (
	mainDir = "IFD0"
	exifDir = "IFD0/ExifIFDP"

	tagOrientation     = "Orientation"         // 0x0112, in mainDir
	tagOriginal        = "DateTimeOriginal"    // 0x9003, like all below in exifDir
	tagDigitized       = "CreateDate"          // 0x9004, Exif's DateTimeDigitized
	tagOriginalOffset  = "OffsetTimeOriginal"  // 0x9011
	tagDigitizedOffset = "OffsetTimeDigitized" // 0x9012
)

// Camera reads the camera's notes from an original of the given format. A photo
// without them, or with broken ones, is not an error: what could be read counts. The
// error is one of r.
//
// Fractions of a second are left out: the Exif reader in use gives "05" and "5"
// as the same number.
func Camera(r io.ReadSeeker, format media.Format) (CameraInfo, error) {
	info := CameraInfo{Orientation: Upright}
	kind := imagemeta.JPEG
	if format == media.PNG {
		kind = imagemeta.PNG
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return info, fmt.Errorf("read camera notes: %w", err)
	}
	in := &failNoting{ReadSeeker: r}
	times := map[string]string{}
	// The error is of no use: it mixes broken notes with a broken disk.
	_, _ = imagemeta.Decode(imagemeta.Options{
		R:               in,
		ImageFormat:     kind,
		Sources:         imagemeta.EXIF,
		LimitNumTags:    maxTags,
		LimitTagSize:    maxTagBytes,
		ShouldHandleTag: wanted,
		HandleTag: func(tag imagemeta.TagInfo) error {
			switch v := tag.Value.(type) {
			case uint16:
				if tag.Tag == tagOrientation && v >= 1 && v <= 8 {
					info.Orientation = Orientation(v)
				}
			case string:
				times[tag.Tag] = v
			}
			return nil
		},
	})
	if in.err != nil {
		return CameraInfo{Orientation: Upright}, fmt.Errorf("read camera notes: %w", in.err)
	}
	info.Taken = taken(times[tagOriginal], times[tagOriginalOffset])
	if info.Taken == "" {
		info.Taken = taken(times[tagDigitized], times[tagDigitizedOffset])
	}
	return info, nil
}

func wanted(tag imagemeta.TagInfo) bool {
	switch tag.Tag {
	case tagOrientation:
		return tag.Namespace == mainDir
	case tagOriginal, tagDigitized, tagOriginalOffset, tagDigitizedOffset:
		return tag.Namespace == exifDir
	default:
		return false
	}
}

// taken turns Exif's "2026:03:02 08:12:44" and "+01:00" into the shape of RFC
// 3339. Cameras without a set clock write zeros or blanks.
func taken(stamp, offset string) string {
	t, err := time.Parse("2006:01:02 15:04:05", clean(stamp))
	if err != nil || t.Year() < firstYear {
		return ""
	}
	local := t.Format("2006-01-02T15:04:05")
	if offset = clean(offset); validOffset(offset) {
		return local + offset
	}
	return local
}

// validOffset accepts ±HH:MM. No place on earth is further than 14 hours off, and
// "-00:00" says in RFC 3339 that the zone is not known.
func validOffset(s string) bool {
	t, err := time.Parse("-07:00", s)
	if err != nil || s == "-00:00" {
		return false
	}
	_, seconds := t.Zone()
	const most = 14 * 60 * 60
	return -most <= seconds && seconds <= most
}

func clean(s string) string { return strings.Trim(s, " \x00") }

// failNoting keeps the first error of its reader that is not the end.
type failNoting struct {
	io.ReadSeeker
	err error
}

func (f *failNoting) Read(p []byte) (int, error) {
	n, err := f.ReadSeeker.Read(p)
	if err != nil && f.err == nil && !errors.Is(err, io.EOF) {
		f.err = err
	}
	return n, err
}
