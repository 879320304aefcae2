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

// Filing is a log as entries, and what of it is in none.
type Filing struct {
	Traces  []*journal.ProbeTrace
	LeftOut int // samples in which a channel had no reading
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
	var f Filing
	whole := make([]bool, l.Samples)
	for _, g := range l.groups(list) {
		rows := l.rows(g)
		if len(rows) < 2 {
			return Filing{}, &PlaceError{Problem: "There are no two samples in which all these channels have a reading. Leave out the channel that has none."}
		}
		for _, row := range rows {
			whole[row] = true
		}
		f.Traces = append(f.Traces, l.pieces(g, rows)...)
	}
	for _, w := range whole {
		if !w {
			f.LeftOut++
		}
	}
	l.head(f.Traces, note, zone)
	return f, nil
}

// groups returns the channels of each part, or all together if they fit.
func (l *Log) groups(list []placed) (groups [][]placed) {
	if fits(l.trace(list, l.rows(list))) {
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

// pieces cuts samples of some channels in time until every piece fits.
func (l *Log) pieces(list []placed, rows []int) (traces []*journal.ProbeTrace) {
	n := 1
	for !fits(l.trace(list, rows[:(len(rows)+n-1)/n])) {
		n++
	}
	for piece := range slices.Chunk(rows, (len(rows)+n-1)/n) {
		traces = append(traces, l.trace(list, piece))
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
			p.Note = strings.TrimSpace(fmt.Sprintf("%s (piece %d of %d of the recorder's file %s)", note, i+1, len(traces), l.Digest))
		}
	}
}

// rows returns the samples in which all the channels have a reading.
func (l *Log) rows(list []placed) (rows []int) {
	for i, row := range l.celsius {
		if !slices.ContainsFunc(list, func(c placed) bool { return math.IsNaN(row[c.column]) }) {
			rows = append(rows, i)
		}
	}
	return rows
}

// trace writes samples of some channels.
func (l *Log) trace(list []placed, rows []int) *journal.ProbeTrace {
	scale := l.reader.Scale()
	p := &journal.ProbeTrace{Unit: journal.TemperatureUnit(scale)}
	p.Seconds = series(rows, func(row int) float64 { return math.Round(l.seconds[row]*1000) / 1000 })
	for _, c := range list {
		p.Channels = append(p.Channels, journal.Channel{Channel: c.name, Readings: series(rows, func(row int) float64 {
			return math.Round(scale.Reading(l.celsius[row][c.column])*100) / 100
		})})
	}
	return p
}

func series(rows []int, of func(row int) float64) journal.Series {
	var b []byte
	for i, row := range rows {
		if i > 0 {
			b = append(b, ' ')
		}
		b = strconv.AppendFloat(b, of(row)+0, 'f', -1, 64) // +0 takes the sign off nought
	}
	return journal.Series(b)
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
