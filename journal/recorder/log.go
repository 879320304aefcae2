package recorder

import (
	"bytes"
	"crypto/sha256"
	"math"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/trade/bake"
)

// Log is a recorder's file, read whole.
type Log struct {
	Channels []Channel
	Begun    string // the first reading's date and time, as the recorder wrote it; "" without dates
	Samples  int
	Interval float64        // seconds, the usual one
	Longest  float64        // seconds, the longest one
	Lasts    float64        // seconds from the first reading to the last
	Digest   journal.Digest // of the file

	reader  *Reader
	seconds []float64
	celsius [][]float64 // by sample and channel; NaN without a reading
}

// Channel is one channel of a log.
type Channel struct {
	Name    string
	Missing int     // samples without a reading
	Peak    float64 // °C; -Inf without a reading
}

// Read reads a recorder's file whole. What is wrong with it is of type *LineError.
func Read(raw []byte, f Format) (*Log, error) {
	r, err := NewReader(bytes.NewReader(raw), f)
	if err != nil {
		return nil, err
	}
	l := &Log{Begun: r.Begun(), Digest: sha256.Sum256(raw), reader: r}
	for _, name := range r.Channels() {
		l.Channels = append(l.Channels, Channel{Name: name, Peak: math.Inf(-1)})
	}
	for s, err := range r.Samples() {
		if err != nil {
			return nil, err
		}
		l.add(s)
	}
	l.Samples = len(l.seconds)
	if l.Samples > 1 {
		l.measure()
	}
	return l, nil
}

func (l *Log) add(s bake.Sample) {
	l.seconds = append(l.seconds, s.Second)
	l.celsius = append(l.celsius, slices.Clone(s.Celsius))
	for i, c := range s.Celsius {
		if math.IsNaN(c) {
			l.Channels[i].Missing++
		} else {
			l.Channels[i].Peak = max(l.Channels[i].Peak, c)
		}
	}
}

// measure finds how far the readings lie apart.
func (l *Log) measure() {
	l.Lasts = l.seconds[l.Samples-1] - l.seconds[0]
	var steps []float64
	for i, s := range l.seconds[1:] {
		steps = append(steps, s-l.seconds[i])
	}
	slices.Sort(steps)
	l.Interval, l.Longest = steps[len(steps)/2], steps[len(steps)-1]
}
