package media

import "time"

// CameraTime reads when a camera says that it took a picture, in RFC 3339 with
// or without a zone. A time without one is taken for a time in the given zone:
// cameras seldom know theirs.
func CameraTime(text string, zone *time.Location) (time.Time, bool) {
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t, true
	}
	t, err := time.ParseInLocation("2006-01-02T15:04:05", text, zone)
	return t, err == nil
}
