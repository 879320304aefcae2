package recorder

import (
	"bytes"
	"math"

	"fettlebook/journal/trade/unit"
)

// TimeUnit is the unit of elapsed times that are plain numbers.
type TimeUnit string

// The units of elapsed time.
const (
	Milliseconds TimeUnit = "ms"
	Seconds      TimeUnit = "s"
	Minutes      TimeUnit = "min"
	Hours        TimeUnit = "h"
)

func (u TimeUnit) seconds() float64 {
	return map[TimeUnit]float64{Milliseconds: 0.001, Seconds: 1, Minutes: 60, Hours: 3600}[u]
}

// DateOrder says which comes first in dates such as 03/04/2026.
type DateOrder string

// The orders of day and month.
const (
	DayFirst   DateOrder = "day first"
	MonthFirst DateOrder = "month first"
)

// timeKind is the shape of a trace's times.
type timeKind uint8

const (
	noTime  timeKind = iota
	elapsed          // a plain number
	clock            // hh:mm:ss or mm:ss
	dated            // a date and a time of day in one cell
	dateCell
)

// timeReader reads times of one kind to seconds.
type timeReader struct {
	kind      timeKind
	factor    float64   // of elapsed numbers
	hourFirst bool      // a clock of two parts is hh:mm
	order     DateOrder // empty until it is known
	ambiguous bool      // the last date could not be read for want of the order
	zoned     bool      // the last time said its offset from UTC, in seconds
	offset    float64
	lastDate  [10]byte // the date read last, as written, and its day
	lastDay   float64
}

func kindOf(cell []byte, order DateOrder) timeKind {
	t := timeReader{order: order}
	if _, ok := unit.Decimal(cell); ok {
		return elapsed
	}
	if _, ok := t.clock(cell); ok {
		return clock
	}
	if _, ok := t.dated(cell); ok || t.ambiguous {
		return dated
	}
	if _, ok := t.date(cell); ok || t.ambiguous {
		return dateCell
	}
	return noTime
}

// read returns seconds, counted from anywhere.
func (t *timeReader) read(cell []byte) (float64, bool) {
	switch t.kind {
	case elapsed:
		value, ok := unit.Decimal(cell)
		return value * t.factor, ok
	case clock:
		return t.clock(cell)
	case dated:
		return t.dated(cell)
	}
	return 0, false
}

// clock reads h:mm:ss, mm:ss or, with hourFirst, h:mm, with decimals of the last part and
// AM or PM behind. The first part may be of any size.
func (t *timeReader) clock(cell []byte) (float64, bool) {
	cell, half := cutHalf(cell)
	var parts [3]float64
	n := 0
	for more := true; more; n++ {
		var part []byte
		part, cell, more = bytes.Cut(cell, []byte(":"))
		if n == len(parts) || len(part) == 0 || part[0] < '0' || part[0] > '9' || n > 0 && (len(part) < 2 || len(part) > 2 && part[2] != '.' && part[2] != ',') {
			return 0, false
		}
		value, ok := unit.Decimal(part)
		if !ok || n > 0 && value >= 60 || more && value != math.Trunc(value) {
			return 0, false
		}
		parts[n] = value
	}
	switch {
	case n == 2 && half == 0 && !t.hourFirst:
		return parts[0]*60 + parts[1], true
	case n < 2 || half != 0 && (parts[0] < 1 || parts[0] >= 13):
		return 0, false
	case half != 0:
		parts[0] = math.Mod(parts[0], 12) + float64(half-1)*12
	}
	return parts[0]*3600 + parts[1]*60 + parts[2], true
}

// cutHalf cuts AM (1) or PM (2) off a clock; 0 means that there is neither.
func cutHalf(cell []byte) ([]byte, int) {
	if n := len(cell); n > 2 && cell[n-1]|0x20 == 'm' {
		switch cell[n-2] | 0x20 {
		case 'a':
			return bytes.TrimSpace(cell[:n-2]), 1
		case 'p':
			return bytes.TrimSpace(cell[:n-2]), 2
		}
	}
	return cell, 0
}

// dated reads a date, a space or T, a time of day, and perhaps Z or an offset.
func (t *timeReader) dated(cell []byte) (float64, bool) {
	i := bytes.IndexAny(cell, " T")
	if i < 0 {
		return 0, false
	}
	day, ok := t.date(bytes.TrimSuffix(cell[:i], []byte(",")))
	if !ok {
		return 0, false
	}
	whole := bytes.TrimSpace(cell[i+1:])
	daytime, offset, ok := cutOffset(whole)
	if !ok {
		return 0, false
	}
	t.zoned, t.offset = len(daytime) < len(whole), offset
	second, ok := (&timeReader{hourFirst: true}).clock(daytime)
	return day*86400 + second - offset, ok && second <= 86400
}

// cutOffset cuts Z, ±hh:mm or ±hhmm off a time of day and returns it in seconds.
func cutOffset(cell []byte) (daytime []byte, offset float64, ok bool) {
	if rest, found := bytes.CutSuffix(cell, []byte("Z")); found {
		return rest, 0, true
	}
	i := bytes.LastIndexAny(cell, "+-")
	if i < 0 {
		return cell, 0, true
	}
	var digits [4]float64
	n := 0
	for _, c := range cell[i+1:] {
		switch {
		case c == ':' && n == 2:
		case '0' <= c && c <= '9' && n < 4:
			digits[n] = float64(c - '0')
			n++
		default:
			return nil, 0, false
		}
	}
	offset = (digits[0]*10+digits[1])*3600 + (digits[2]*10+digits[3])*60
	if cell[i] == '-' {
		offset = -offset
	}
	return cell[:i], offset, n == 4 || n == 2
}
