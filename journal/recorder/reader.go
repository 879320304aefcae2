// Package recorder turns the file of a temperature recorder into entries of a bake.
//
// A Reader reads a file of any length as a trace that bake.Judge takes. Read keeps the
// whole of a file that is to be filed: where the probe of each channel was is guessed by
// its name and said by a person, and File makes entries of it, split where one entry
// cannot hold all. What is odd about a log is listed as data and said in words last.
//
//	log, err := recorder.Read(raw, recorder.Format{})
//	places := []recorder.Place{log.Guess(0, bake.Probes), {Out: true}}
//	filing, err := log.File(places, bake.Probes, "door opened once", time.Local)
//	filing.Traces[0] // is the data of a probe.logged
package recorder

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Format is what a recorder's file may leave unsaid. What the file does say must not
// contradict it.
type Format struct {
	Scale bake.Scale // of the readings
	Time  TimeUnit   // of elapsed times that are plain numbers
	Dates DateOrder  // of dates such as 03/04/2026
}

// Reader reads a recorder's file of separated values as a trace (bake.Trace).
//
// Columns are separated by tabs, semicolons or commas; numbers have a decimal point, or a
// decimal comma where the comma does not separate. Any number of header lines may stand
// before the readings; the last of them names the channels. The first column is the time
// (an index number or a date of its own may stand before it): date and time of day,
// hh:mm:ss, mm:ss, or a plain number whose unit the header or the Format gives. Columns of
// words are passed over. An empty cell, dashes, NaN, N/A, OL and open stand for a probe
// without a reading; a number that no probe can read is kept, for bake.Judge to doubt. A UTF-8 byte-order mark and CRLF are fine, UTF-16 is refused.
type Reader struct {
	lines    *lines
	format   Format
	times    timeReader
	columns  columns
	first    []byte // the first line of readings, and its number
	firstAt  int
	begun    string
	finished bool
}

// ErrReadTwice is the error of reading a file's samples a second time.
var ErrReadTwice = errors.New("a recorder’s file can be read once only: open it again")

// NewReader reads up to the first line of readings and works out the file's shape. It
// reads ahead, and keeps no more than a few hundred kilobytes. Errors that the file causes,
// also those of Samples, are of type *LineError.
func NewReader(from io.Reader, format Format) (*Reader, error) {
	r := &Reader{lines: newLines(from), format: format}
	if format.Time != "" && format.Time.seconds() == 0 {
		return nil, &LineError{Problem: fmt.Sprintf("%q is not a unit of elapsed time: say ms, s, min or h", format.Time)}
	}
	if err := r.findReadings(); err != nil {
		return nil, err
	}
	return r, nil
}

// Channels returns the channels' names from the header, without their unit, or numbers
// from 1 where the header has none.
func (r *Reader) Channels() []string {
	names := make([]string, len(r.columns.channels))
	for i, c := range r.columns.channels {
		names[i] = c.name
	}
	return names
}

// Samples yields the samples, with seconds counted from the first. It needs no memory per
// sample.
func (r *Reader) Samples() iter.Seq2[bake.Sample, error] {
	return func(yield func(bake.Sample, error) bool) {
		if r.finished {
			yield(bake.Sample{}, ErrReadTwice)
			return
		}
		r.finished = true
		sample := bake.Sample{Celsius: make([]float64, len(r.columns.channels))}
		line, number := r.first, r.firstAt
		start, last := math.NaN(), math.Inf(-1)
		for {
			if len(trim(line)) > 0 {
				time, problem := r.row(line, sample.Celsius)
				if math.IsNaN(start) {
					start = time
				}
				if problem == "" && time-start <= last {
					problem = "this time is not later than the one before it: put the lines in order, each time once; a log past midnight needs dates"
				}
				if problem != "" {
					yield(bake.Sample{}, &LineError{Line: number, Text: headerText(line), Problem: problem})
					return
				}
				last, sample.Second = time-start, time-start
				if !yield(sample, nil) {
					return
				}
			}
			var err error
			line, err = r.lines.next()
			if err != nil {
				if !errors.Is(err, io.EOF) {
					yield(bake.Sample{}, err)
				}
				return
			}
			number = r.lines.number
		}
	}
}

// row reads one line into readings. It returns its time in seconds, or a sentence that
// says what is wrong.
func (r *Reader) row(line []byte, readings []float64) (time float64, problem string) {
	var day, second float64
	roles := r.columns.roles
	column := 0
	for more := true; more; column++ {
		var cell []byte
		cell, line, more = cut(line, r.columns.separator)
		if column >= len(roles) {
			if len(cell) > 0 {
				return 0, fmt.Sprintf("this line has more than the %d columns of the first: look for a decimal comma between commas, or a second log in the file", len(roles))
			}
			continue
		}
		ok := true
		switch role := roles[column]; role {
		case roleNone:
		case roleDate:
			day, ok = r.times.date(cell)
		case roleTime:
			second, ok = r.times.read(cell)
		default:
			readings[role], ok = r.reading(cell, r.columns.channels[role].scale)
		}
		if !ok {
			return 0, r.unreadable(cell, roles[column])
		}
	}
	if column < len(roles) {
		return 0, fmt.Sprintf("this line has %s and the first has %d: it was cut short, or is not a line of readings", words.Count(column, "column"), len(roles))
	}
	return day*86400 + second, ""
}

func (r *Reader) reading(cell []byte, scale bake.Scale) (celsius float64, ok bool) {
	value, ok := unit.Decimal(cell)
	if !ok {
		return math.NaN(), isMissing(cell)
	}
	return scale.Celsius(value), true
}

func (r *Reader) unreadable(cell []byte, role int) string {
	switch {
	case role < 0 && r.times.ambiguous:
		return fmt.Sprintf("the date in %.40q can be read day first or month first: say which", cell)
	case role < 0:
		return fmt.Sprintf("the time %.40q cannot be read: the lines before have it in another form", cell)
	case bytes.ContainsAny(cell, ".,"):
		return fmt.Sprintf("the reading %.40q is not a number: write it without thousands, with one decimal point or comma", cell)
	}
	return fmt.Sprintf("the reading %.40q is not a number: leave the cell empty where there is none", cell)
}
