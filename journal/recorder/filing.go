package recorder

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal"
)

// Filing is a log as entries. Readings that the recorder lost stand there as lost.
type Filing struct {
	Traces []*journal.ProbeTrace
	Lost   int // samples in which a channel has no reading
}

// Split says, "" of a file that is one entry, that it is several, and what that comes to.
func (f Filing) Split() string {
	if len(f.Traces) < 2 {
		return ""
	}
	return fmt.Sprintf("This is more than one entry holds, so it is written as %d entries. The job is judged by all of them; the page of each shows its own part of the file only. A longer interval at the recorder keeps a bake in one.", len(f.Traces))
}

// entryRoom is what one trace may take of an entry, beside all else in it.
const entryRoom = journal.MaxEntryBytes - 16<<10

// File makes entries of the channels, with one place for each of them, in the unit that
// the file has. What one entry cannot hold is split: first by the part that the probes
// touch, because a verdict needs all probes of a part in one trace; then by time. A date
// without an offset is one of the zone's. Errors are of type *PlaceError.
func (l *Log) File(places []Place, probes []journal.Probe, note string, zone *time.Location) (Filing, error) {
	list, err := l.place(places, probes)
	if err != nil {
		return Filing{}, err
	}
	f := Filing{Lost: l.lost(list)}
	for _, c := range list {
		if l.Samples-l.Channels[c.column].Missing < 2 {
			return Filing{}, &PlaceError{Channel: l.Channels[c.column].Name, Problem: fmt.Sprintf("%s has fewer than two readings. Leave it out.", l.Channels[c.column].Name)}
		}
	}
	for _, g := range l.groups(list) {
		f.Traces = append(f.Traces, l.pieces(g)...)
	}
	l.head(f.Traces, note, zone)
	return f, nil
}

// groups returns the channels of each part, or all together if they fit.
func (l *Log) groups(list []placed) (groups [][]placed) {
	if fits(l.trace(list, l.celsius, l.seconds)) {
		return [][]placed{list}
	}
	for _, c := range list {
		i := slices.IndexFunc(groups, func(g []placed) bool { return g[0].on == c.on })
		if i < 0 {
			groups = append(groups, nil)
			i = len(groups) - 1
		}
		groups[i] = append(groups[i], c)
	}
	return groups
}

// pieces cuts the samples of some channels in time until every piece fits.
func (l *Log) pieces(list []placed) (traces []*journal.ProbeTrace) {
	n, size := 1, l.Samples
	for !fits(l.trace(list, l.celsius[:size], l.seconds[:size])) {
		n++
		size = (l.Samples + n - 1) / n
	}
	for from := 0; from < l.Samples; from += size {
		to := min(from+size, l.Samples)
		traces = append(traces, l.trace(list, l.celsius[from:to], l.seconds[from:to]))
	}
	return traces
}

// head writes what stands beside the readings. Traces with one file's digest are the same
// trace logged twice, so only the first piece bears it.
func (l *Log) head(traces []*journal.ProbeTrace, note string, zone *time.Location) {
	begun, known := l.reader.BegunAt(zone)
	for i, p := range traces {
		if known {
			p.Begun = journal.Stamp(begun)
		}
		p.Note = note
		if i == 0 {
			p.File = l.Digest
		}
		if len(traces) > 1 {
			p.Note = strings.TrimSpace(fmt.Sprintf("%s (piece %d of %d of the recorder’s file %s)", note, i+1, len(traces), l.Digest))
		}
	}
}

// lost counts the samples in which one of the channels has no reading.
func (l *Log) lost(list []placed) (n int) {
	for _, row := range l.celsius {
		if slices.ContainsFunc(list, func(c placed) bool { return math.IsNaN(row[c.column]) }) {
			n++
		}
	}
	return n
}

// trace writes samples of some channels.
func (l *Log) trace(list []placed, celsius [][]float64, seconds []float64) *journal.ProbeTrace {
	scale := l.reader.Scale()
	p := &journal.ProbeTrace{Unit: journal.TemperatureUnit(scale)}
	p.Seconds = journal.Series(series(len(seconds), func(i int) float64 { return math.Round(seconds[i]*1000) / 1000 }))
	for _, c := range list {
		p.Channels = append(p.Channels, journal.Channel{Channel: c.name, Readings: journal.Readings(series(len(celsius), func(i int) float64 {
			return math.Round(scale.Reading(celsius[i][c.column])*100) / 100
		}))})
	}
	return p
}

// series writes numbers, and what is none as lost.
func series(n int, of func(i int) float64) string {
	var b []byte
	for i := range n {
		if i > 0 {
			b = append(b, ' ')
		}
		if x := of(i); math.IsNaN(x) {
			b = append(b, journal.LostReading...)
		} else {
			b = strconv.AppendFloat(b, x+0, 'f', -1, 64) // +0 takes the sign off nought
		}
	}
	return string(b)
}

func fits(p *journal.ProbeTrace) bool {
	size := len(p.Seconds)
	for _, c := range p.Channels {
		size += len(c.Readings) + len(c.Channel) + 40
	}
	return size <= entryRoom && strings.Count(string(p.Seconds), " ") < journal.MaxReadings
}

// Held says of each trace whether it is among those that a run has already. A file that a
// run has with other channels counts as held whole: its entry is corrected, for the record
// takes traces of one file for the same trace.
func (f Filing) Held(run []*journal.ProbeTrace) []bool {
	held := make([]bool, len(f.Traces))
	for i, t := range f.Traces {
		held[i] = slices.ContainsFunc(run, func(o *journal.ProbeTrace) bool { return readSame(t, o) })
	}
	if len(held) > 0 && !held[0] && slices.ContainsFunc(run, func(o *journal.ProbeTrace) bool { return o.File == f.Traces[0].File }) {
		for i := range held {
			held[i] = true
		}
	}
	return held
}

func readSame(a, b *journal.ProbeTrace) bool {
	return a.Unit == b.Unit && a.Seconds == b.Seconds && slices.Equal(a.Channels, b.Channels)
}
