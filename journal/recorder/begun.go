package recorder

import (
	"math"
	"time"

	"fettlebook/journal/trade/bake"
)

// dated reports whether the file has dates, and not only how much time had passed or what
// time of day it was.
func (r *Reader) dated() bool { return r.columns.kind == dated || r.columns.date >= 0 }

// Begun returns the first reading's date and time as the recorder wrote it, or "" if the
// file has no dates.
func (r *Reader) Begun() string {
	if !r.dated() {
		return ""
	}
	return r.begun
}

// BegunAt returns when the first reading was, if the file has its date and that can be
// read in one way only. A time that does not say its offset is one of the zone's.
func (r *Reader) BegunAt(zone *time.Location) (time.Time, bool) {
	if !r.dated() {
		return time.Time{}, false
	}
	second, problem := r.row(r.first, make([]float64, len(r.columns.channels)))
	if problem != "" {
		return time.Time{}, false
	}
	second -= float64(dayNumber(1970, 1, 1)) * 86400
	at := time.UnixMilli(int64(math.Round(second * 1000))).UTC()
	if r.times.zoned {
		return at.In(time.FixedZone("", int(r.times.offset))), true
	}
	return time.Date(at.Year(), at.Month(), at.Day(), at.Hour(), at.Minute(), at.Second(), at.Nanosecond(), zone), true
}

// Scale returns the unit of the readings as the file has them: °F if all channels are in
// it, else °C.
func (r *Reader) Scale() bake.Scale {
	for _, c := range r.columns.channels {
		if c.scale != bake.Fahrenheit {
			return bake.Celsius
		}
	}
	return bake.Fahrenheit
}
