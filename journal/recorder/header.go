package recorder

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/words"
)

// header is what the lines before the readings say.
type header struct {
	last, previous string // the two lines nearest to the readings, without blank ones
	lastAt         int
	scales         []bake.Scale // all that are named anywhere
	order          DateOrder
}

func (h *header) add(line string, number int) {
	if strings.TrimSpace(line) == "" {
		return
	}
	h.previous, h.last, h.lastAt = h.last, line, number
	h.scales = append(h.scales, scalesIn(line)...)
	slices.Sort(h.scales)
	h.scales = slices.Compact(h.scales)
	switch upper := strings.ToUpper(line); {
	case strings.Contains(upper, "MM/DD/"), strings.Contains(upper, "MM-DD-"):
		h.order = MonthFirst
	case strings.Contains(upper, "DD/MM/"), strings.Contains(upper, "DD-MM-"):
		h.order = DayFirst
	}
}

// findReadings reads the header and works out the file's shape.
func (r *Reader) findReadings() error {
	var h header
	for {
		line, err := r.lines.next()
		switch {
		case errors.Is(err, io.EOF) && r.lines.number == 0:
			return &LineError{Problem: "the file is empty: export the log again"}
		case errors.Is(err, io.EOF):
			return &LineError{Problem: "the file has no line with a time and a reading: export the log as columns separated by semicolons, tabs or commas"}
		case err != nil:
			return err
		}
		if r.lines.number == 1 {
			if bytes.HasPrefix(line, []byte{0xFF, 0xFE}) || bytes.HasPrefix(line, []byte{0xFE, 0xFF}) || bytes.IndexByte(line, 0) >= 0 {
				return &LineError{Line: 1, Text: headerText(line), Problem: "the file is in UTF-16 or no text at all: export it as CSV in UTF-8"}
			}
			line = bytes.TrimPrefix(line, []byte("\xEF\xBB\xBF"))
		}
		order := r.format.Dates
		if order == "" {
			order = h.order
		}
		found, ok := findColumns(string(line), h.last, order)
		if !ok {
			h.add(headerText(line), r.lines.number)
			continue
		}
		r.columns, r.times.kind, r.times.order = found, found.kind, order
		r.first, r.firstAt = bytes.Clone(line), r.lines.number
		return r.settle(h)
	}
}

// settle joins what the header says with what the Format says.
func (r *Reader) settle(h header) error {
	c := &r.columns
	cells := split(r.first, c.separator)
	for _, i := range []int{c.date, c.time} {
		if i >= 0 {
			r.begun = strings.TrimSpace(r.begun + " " + headerText(cells[i]))
		}
	}
	names, units := headerCells(h.last, c.separator), []string(nil)
	if isUnits(names) {
		names, units = headerCells(h.previous, c.separator), names
	}
	if named := withoutEmptyEnd(names); c.separator == ',' && len(named) > 1 && len(named) < len(c.roles) {
		return &LineError{Line: r.firstAt, Text: headerText(r.first), Problem: fmt.Sprintf(
			"this line has %s under a header of %d: a decimal comma between commas cannot be told apart, so export with semicolons or decimal points", words.Count(len(c.roles), "column"), len(named))}
	}
	if len(names) <= c.channels[len(c.channels)-1].column {
		names = nil // a line of something else
	}
	if len(names) > 1 && kindOf([]byte(names[0]), r.times.order) != noTime {
		return &LineError{Line: h.lastAt, Text: h.last, Problem: "this begins like a line of readings, but its readings cannot be read"}
	}
	c.name(names)
	if h.order != "" && r.format.Dates != "" && h.order != r.format.Dates {
		return &LineError{Problem: fmt.Sprintf("the header has dates %s, but %s was asked for: check the file", h.order, r.format.Dates)}
	}
	if err := r.settleTime(at(names, c.time) + " " + at(units, c.time)); err != nil {
		return err
	}
	for i := range c.channels {
		channel := &c.channels[i]
		var err error
		if channel.scale, err = r.scale(channel.name, scalesIn(at(names, channel.column)+" "+at(units, channel.column)), h.scales); err != nil {
			return err
		}
	}
	return nil
}

func (r *Reader) settleTime(title string) error {
	lower := strings.ToLower(title)
	r.times.hourFirst = r.columns.date >= 0 || strings.Contains(lower, "h:mm") && !strings.Contains(lower, "mm:ss")
	if r.columns.kind != elapsed {
		return nil
	}
	said := timeUnitIn(title)
	switch {
	case said == "" && r.format.Time == "":
		return &LineError{Line: r.firstAt, Text: headerText(r.first), Problem: "the header does not say whether the time is in seconds or minutes: say which"}
	case said != "" && r.format.Time != "" && said != r.format.Time:
		return &LineError{Problem: fmt.Sprintf("the header has the time in %s, but %s was asked for: check the file", said, r.format.Time)}
	case said == "":
		said = r.format.Time
	}
	r.times.factor = said.seconds()
	return nil
}

// scale picks a channel's scale: from its own header cell, else from the whole header,
// else from the Format.
func (r *Reader) scale(channel string, own, all []bake.Scale) (bake.Scale, error) {
	if len(own) == 0 {
		own = all
	}
	chosen := r.format.Scale == bake.Celsius || r.format.Scale == bake.Fahrenheit
	switch {
	case len(own) > 1 && chosen: // what a person says decides what the header leaves open
		return r.format.Scale, nil
	case len(own) > 1:
		return "", &LineError{Problem: fmt.Sprintf("the header names both °C and °F, and does not say which channel %s is in: export the log with its unit", channel)}
	case len(own) == 0 && !chosen:
		return "", &LineError{Problem: "the header does not say whether the readings are in °C or °F: say which"}
	case len(own) == 0:
		return r.format.Scale, nil
	case r.format.Scale != "" && r.format.Scale != own[0]:
		return "", &LineError{Problem: fmt.Sprintf("the header has channel %s in %s, but %s was asked for: check the file", channel, own[0], r.format.Scale)}
	}
	return own[0], nil
}

// headerText is a line as text. What is not UTF-8 is taken for Latin-1, which older
// recorders write and in which the degree sign is one byte.
func headerText(line []byte) string {
	if utf8.Valid(line) {
		return string(line)
	}
	runes := make([]rune, len(line))
	for i, b := range line {
		runes[i] = rune(b)
	}
	return string(runes)
}

func headerCells(line string, separator byte) []string {
	if line == "" {
		return nil
	}
	var texts []string
	for _, cell := range split([]byte(line), separator) {
		texts = append(texts, string(cell))
	}
	return texts
}

func withoutEmptyEnd(cells []string) []string {
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	return cells
}

func at(cells []string, i int) string {
	if i < 0 || i >= len(cells) {
		return ""
	}
	return cells[i]
}

// letters cuts a header cell at everything but letters.
func letters(cell string) []string {
	return strings.FieldsFunc(strings.ToLower(cell), func(r rune) bool { return !unicode.IsLetter(r) })
}
