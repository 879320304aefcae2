package recorder

import (
	"math"
	"time"

	"fettlebook/journal/trade/bake"
)

// Begun returns the first reading's time as the recorder wrote it.
func (r *Reader) Begun() string { return r.begun }

// BegunAt returns when the first reading was, if the file has its date and that can be
// read in one way only. A time that does not say its offset is one of the zone's.
func (r *Reader) BegunAt(zone *time.Location) (time.Time, bool) {
	if r.columns.kind != dated && r.columns.date < 0 {
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
