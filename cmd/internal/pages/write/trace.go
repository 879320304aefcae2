package write

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/bake"
)

// reading is what was read of a recorder's file.
type reading struct {
	Channels []channelRead
	Begun    string // the first reading's time, as the recorder wrote it
	Samples  int
	Interval float64 // seconds, the usual one
	Lasts    float64 // seconds from the first reading to the last
	Warnings []string

	scale   bake.Scale
	seconds []float64
	celsius [][]float64 // by sample and channel; NaN without a reading
}

// channelRead is one channel of it.
type channelRead struct {
	Name    string
	Missing int     // samples without a reading
	Peak    float64 // °C
}

// readTrace reads a recorder's file whole.
func readTrace(raw []byte, f bake.Format) (*reading, error) {
	r, err := bake.NewReader(bytes.NewReader(raw), f)
	if err != nil {
		return nil, err
	}
	t := &reading{Begun: r.Begun(), scale: scaleOf(raw, f)}
	for _, name := range r.Channels() {
		t.Channels = append(t.Channels, channelRead{Name: name, Peak: math.Inf(-1)})
	}
	for s, err := range r.Samples() {
		if err != nil {
			return nil, err
		}
		t.seconds = append(t.seconds, s.Second)
		t.celsius = append(t.celsius, slices.Clone(s.Celsius))
		for i, c := range s.Celsius {
			if math.IsNaN(c) {
				t.Channels[i].Missing++
			} else {
				t.Channels[i].Peak = max(t.Channels[i].Peak, c)
			}
		}
	}
	t.sum()
	return t, nil
}

// scaleOf is the unit that the file is in: the one that was said, or that the
// file itself names, so that asking for it contradicts nothing.
func scaleOf(raw []byte, f bake.Format) bake.Scale {
	f.Scale = bake.Fahrenheit
	if _, err := bake.NewReader(bytes.NewReader(raw), f); err == nil {
		return bake.Fahrenheit
	}
	return bake.Celsius
}

// sum says what a person should look at before the trace is written.
func (t *reading) sum() {
	t.Samples = len(t.seconds)
	if t.Samples < 2 {
		t.Warnings = append(t.Warnings, "There are fewer than two readings, so nothing can be told from them.")
		return
	}
	t.Lasts = t.seconds[t.Samples-1] - t.seconds[0]
	var steps []float64
	for i, s := range t.seconds[1:] {
		steps = append(steps, s-t.seconds[i])
	}
	longest := slices.Max(steps)
	slices.Sort(steps)
	t.Interval = steps[len(steps)/2]
	if t.Interval > 60 {
		t.Warnings = append(t.Warnings, fmt.Sprintf("There is one reading every %s only. Set the recorder to a minute or less.", seconds(t.Interval)))
	}
	if longest > 120 && longest > 3*t.Interval {
		t.Warnings = append(t.Warnings, fmt.Sprintf("The longest time without a reading is %s; nothing is credited for it.", seconds(longest)))
	}
	for _, c := range t.Channels {
		switch {
		case c.Missing == t.Samples:
			t.Warnings = append(t.Warnings, fmt.Sprintf("%s has no reading at all. Leave it out.", c.Name))
		case c.Missing > 0:
			t.Warnings = append(t.Warnings, fmt.Sprintf("%s has no reading in %d of %d samples; these samples are left out.", c.Name, c.Missing, t.Samples))
		case c.Peak < 80:
			t.Warnings = append(t.Warnings, fmt.Sprintf("%s never got above %.0f °C. Was it in the oven?", c.Name, c.Peak))
		}
	}
}

// seconds writes a time as a person says it.
func seconds(s float64) string {
	switch {
	case s < 120:
		return strconv.FormatFloat(s, 'f', -1, 64) + " s"
	case s < 7200:
		return strconv.FormatFloat(math.Round(s/6)/10, 'f', -1, 64) + " min"
	default:
		return strconv.FormatFloat(math.Round(s/360)/10, 'f', -1, 64) + " h"
	}
}

// carried is a channel that is written, under the name that the bake has for
// it, and what it touches.
type carried struct {
	column int
	name   string
	on     journal.Subject
}

// entryRoom is what one trace may take of an entry, beside all else in it.
const entryRoom = journal.MaxEntryBytes - 16<<10

// entries makes entries of the channels. What one entry cannot hold is split:
// first by the part that the probes touch, because a verdict needs all probes
// of a part in one trace; then by time. There are none if the channels have no
// two samples in common.
func (t *reading) entries(list []carried, at time.Time, note string, file journal.Digest, dates bake.DateOrder) []*journal.ProbeTrace {
	rows := t.whole(list)
	groups := [][]carried{list}
	if !fits(t.trace(list, rows)) {
		groups = nil
		for _, c := range list {
			i := slices.IndexFunc(groups, func(g []carried) bool { return g[0].on == c.on })
			if i < 0 {
				groups = append(groups, nil)
				i = len(groups) - 1
			}
			groups[i] = append(groups[i], c)
		}
	}
	var all []*journal.ProbeTrace
	for _, g := range groups {
		rows := t.whole(g)
		if len(rows) < 2 {
			return nil
		}
		pieces := 1
		for !fits(t.trace(g, rows[:(len(rows)+pieces-1)/pieces])) {
			pieces++
		}
		for piece := range slices.Chunk(rows, (len(rows)+pieces-1)/pieces) {
			all = append(all, t.trace(g, piece))
		}
	}
	begun, known := begun(t.Begun, at, dates)
	for i, p := range all {
		if known {
			p.Begun = begun
		}
		p.Note = note
		// The record takes traces of one file for the same trace, so only
		// the first piece bears the file's hash.
		if i == 0 {
			p.File = file
		}
		if len(all) > 1 {
			p.Note = strings.TrimSpace(fmt.Sprintf("%s (piece %d of %d of the recorder's file %s)", note, i+1, len(all), file))
		}
	}
	return all
}

// whole returns the samples in which all the channels have a reading.
func (t *reading) whole(list []carried) []int {
	var rows []int
	for i, row := range t.celsius {
		if !slices.ContainsFunc(list, func(c carried) bool { return math.IsNaN(row[c.column]) }) {
			rows = append(rows, i)
		}
	}
	return rows
}

// trace writes samples of some channels, in the unit that the file has.
func (t *reading) trace(list []carried, rows []int) *journal.ProbeTrace {
	p := &journal.ProbeTrace{Unit: journal.TemperatureUnit(t.scale)}
	p.Seconds = series(rows, func(row int) float64 { return math.Round(t.seconds[row]*1000) / 1000 })
	for _, c := range list {
		p.Channels = append(p.Channels, journal.Channel{Channel: c.name, Readings: series(rows, func(row int) float64 {
			v := t.celsius[row][c.column]
			if t.scale == bake.Fahrenheit {
				v = v*9/5 + 32
			}
			return math.Round(v*100) / 100
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

// begun reads the recorder's own time, if it has a date that can be read one
// way only, in the zone of this machine.
func begun(text string, here time.Time, dates bake.DateOrder) (journal.Stamp, bool) {
	layouts := []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02 15:04", "2006/01/02 15:04:05", "02.01.2006 15:04:05", "02.01.2006 15:04"}
	switch dates {
	case bake.DayFirst:
		layouts = append(layouts, "02/01/2006 15:04:05", "02-01-2006 15:04:05", "02/01/2006 15:04")
	case bake.MonthFirst:
		layouts = append(layouts, "01/02/2006 15:04:05", "01-02-2006 15:04:05", "01/02/2006 15:04")
	}
	for _, layout := range layouts {
		if at, err := time.ParseInLocation(layout, text, here.Location()); err == nil {
			return journal.Stamp(at), true
		}
	}
	return journal.Stamp{}, false
}
