package journal

import (
	"fmt"
	"time"

	"fettlebook/journal/words"
	"fettlebook/media"
)

// Photo ties a picture to an entry by its hashes: the original's, which lies
// in the photo folder, and the thumbnail's, which travels with the entry.
type Photo struct {
	Ref   media.Ref `json:"ref"`
	Thumb media.Ref `json:"thumb"`
	// Role says what the picture is meant to show, such as "masked bores".
	Role string `json:"role,omitzero"`
	// Taken is the camera's own time as it wrote it; a zone only if the
	// camera gave one. Camera clocks are often wrong, so it is shown beside
	// the other clocks and never used for order.
	Taken CameraTime `json:"taken,omitzero"`
}

// CameraTime is a time as a camera wrote it, in RFC 3339 shape, with or
// without a zone: 2026-03-02T08:12:44 or 2026-03-02T08:12:44+01:00.
type CameraTime string

// UnmarshalText checks the shape.
func (t *CameraTime) UnmarshalText(text []byte) error {
	for _, layout := range []string{time.RFC3339Nano, "2006-01-02T15:04:05.999999999"} {
		if _, err := time.Parse(layout, string(text)); err == nil {
			*t = CameraTime(text)
			return nil
		}
	}
	return fmt.Errorf("%.40q is not a camera time such as 2026-03-02T08:12:44", text)
}

// Said writes the time for people, to the second, with its zone if the camera gave one.
func (t CameraTime) Said(w words.Writing) string {
	if at, err := time.Parse(time.RFC3339Nano, string(t)); err == nil {
		return w.Second(at) + " " + words.Zone(at)
	}
	if at, err := time.Parse("2006-01-02T15:04:05.999999999", string(t)); err == nil {
		return w.Second(at) + ", without a zone"
	}
	return string(t)
}

// Evidence is what every payload may carry: photos and a remark.
type Evidence struct {
	Photos []Photo `json:"photos,omitempty"`
	Note   string  `json:"note,omitzero"`

	writing words.Writing // in which the data is told: see [Told]
}

func (e *Evidence) evidence() *Evidence { return e }

// check is what a kind without rules of its own checks.
func (e *Evidence) check(*problems) {}

// Attach adds photos to a payload of any kind.
func Attach(data Payload, photos ...Photo) {
	e := data.evidence()
	e.Photos = append(e.Photos, photos...)
}
