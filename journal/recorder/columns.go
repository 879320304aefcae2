package recorder

import (
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

// What a column holds: a channel's index, or one of these.
const (
	roleNone = -1 - iota
	roleDate
	roleTime
)

// columns is the shape of a file's lines.
type columns struct {
	separator byte
	roles     []int // by column
	channels  []channelColumn
	time      int // the column of the time
	date      int // the column of a date of its own, or -1
	kind      timeKind
}

type channelColumn struct {
	name   string
	column int
	scale  bake.Scale
}

// findColumns takes a line for one of readings if its cells can be, with the header line
// before it as a hint. It reports whether they can.
func findColumns(line, before string, order DateOrder) (columns, bool) {
	for _, separator := range []byte{'\t', ';', ','} {
		cells := split([]byte(line), separator)
		names := headerCells(before, separator)
		c := columns{separator: separator, date: -1}
		if !c.findTime(cells, names, order) {
			continue
		}
		if c.findChannels(cells, names) {
			return c, true
		}
	}
	return columns{}, false
}

// findTime looks for the time in the first column, after an index number, or in two
// columns with the date.
func (c *columns) findTime(cells [][]byte, names []string, order DateOrder) bool {
	kind := func(i int) timeKind {
		if i >= len(cells) {
			return noTime
		}
		return kindOf(cells[i], order)
	}
	at := 0
	if kind(0) == elapsed && (kind(1) > elapsed || len(names) > 0 && isIndex(names[0])) {
		at = 1
	}
	switch c.time, c.kind = at, kind(at); {
	case c.kind == dateCell && kind(at+1) == clock:
		c.date, c.time, c.kind = at, at+1, clock
	case c.kind == clock && kind(at+1) == dateCell:
		c.date = at + 1
	}
	return c.kind == elapsed || c.kind == clock || c.kind == dated
}

func (c *columns) findChannels(cells [][]byte, names []string) bool {
	start, numbers := max(c.time, c.date)+1, 0
	named := len(names) >= len(cells)
	for len(cells) > start && len(cells[len(cells)-1]) == 0 && (len(names) < len(cells) || names[len(cells)-1] == "") {
		cells = cells[:len(cells)-1] // a separator at the line's end
	}
	c.roles = make([]int, len(cells))
	for i := range cells {
		c.roles[i] = roleNone
		switch {
		case i == c.date:
			c.roles[i] = roleDate
		case i == c.time:
			c.roles[i] = roleTime
		case i >= start:
			_, number := unit.Decimal(cells[i])
			if number {
				numbers++
			}
			if number || isMissing(cells[i]) {
				c.roles[i] = len(c.channels)
				c.channels = append(c.channels, channelColumn{column: i})
			}
		}
	}
	return numbers > 0 || named && len(c.channels) > 0
}

// isIndex reports whether a header cell names a column of running numbers.
func isIndex(name string) bool {
	word := strings.Trim(strings.ToLower(name), " .:_")
	return slices.Contains([]string{"#", "no", "nr", "num", "number", "index", "idx", "id", "record", "rec", "sample", "row", "line"}, word)
}

// name gives every channel a name of its own.
func (c *columns) name(names []string) {
	var taken []string
	for i := range c.channels {
		channel := &c.channels[i]
		if channel.column < len(names) {
			channel.name = withoutScale(names[channel.column])
		}
		if channel.name == "" {
			channel.name = strconv.Itoa(i + 1)
		}
		base := channel.name
		for n := 2; slices.Contains(taken, channel.name); n++ {
			channel.name = base + " " + strconv.Itoa(n)
		}
		taken = append(taken, channel.name)
	}
}
