package recorder

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
)

// maxLine is the longest line read, far above any recorder's.
const maxLine = 64 << 10

// LineError says which line of a recorder's file cannot be used.
type LineError struct {
	Line    int    // from 1; 0 when it is about the file as a whole
	Text    string // the line
	Problem string // what is wrong and what to do, as one sentence
}

// Error returns the problem behind the line it is about.
func (e *LineError) Error() string {
	if e.Line == 0 {
		return e.Problem
	}
	text := e.Text
	if runes := []rune(text); len(runes) > 80 {
		text = string(runes[:80]) + "…"
	}
	return fmt.Sprintf("line %d (%q): %s", e.Line, text, e.Problem)
}

// lines cuts a stream into lines without keeping them.
type lines struct {
	from       io.Reader
	buffer     []byte
	start, end int // of what is read and not yet given out
	ended      bool
	number     int // of the line given out last
}

func newLines(r io.Reader) *lines { return &lines{from: r, buffer: make([]byte, 4*maxLine)} }

// next returns the next line without its end, valid until the following call, and io.EOF
// after the last one.
func (l *lines) next() ([]byte, error) {
	searched := l.start
	for {
		if i := bytes.IndexByte(l.buffer[searched:l.end], '\n'); i >= 0 {
			return l.give(searched+i, searched+i+1), nil
		}
		searched = l.end
		switch {
		case l.ended && l.start == l.end:
			return nil, io.EOF
		case l.ended:
			return l.give(l.end, l.end), nil
		case l.end-l.start > maxLine:
			return nil, &LineError{Line: l.number + 1, Text: string(l.buffer[l.start : l.start+100]),
				Problem: fmt.Sprintf("this line is longer than %d characters: the file is not a recorder’s log", maxLine)}
		}
		if l.end == len(l.buffer) {
			searched -= l.start
			l.end = copy(l.buffer, l.buffer[l.start:l.end])
			l.start = 0
		}
		if err := l.fill(); err != nil {
			return nil, fmt.Errorf("read the recorder’s file: %w", err)
		}
	}
}

func (l *lines) give(end, next int) []byte {
	line := bytes.TrimSuffix(l.buffer[l.start:end], []byte("\r"))
	l.start = next
	l.number++
	return line
}

func (l *lines) fill() error {
	const patience = 100 // empty reads in a row
	for range patience {
		n, err := l.from.Read(l.buffer[l.end:])
		l.end += n
		switch {
		case errors.Is(err, io.EOF):
			l.ended = true
			return nil
		case err != nil:
			return err
		case n > 0:
			return nil
		}
	}
	return io.ErrNoProgress
}

// cut splits off the first cell of a line at the separator, without the quotes and space
// around it. Cells in quotes may hold the separator.
func cut(line []byte, separator byte) (cell, rest []byte, more bool) {
	if trimmed := bytes.TrimLeft(line, " "); len(trimmed) > 0 && trimmed[0] == '"' {
		if end := bytes.IndexByte(trimmed[1:], '"'); end >= 0 {
			_, rest, more = bytes.Cut(trimmed[end+2:], []byte{separator})
			return bytes.TrimSpace(trimmed[1 : end+1]), rest, more
		}
	}
	i := bytes.IndexByte(line, separator)
	if i < 0 {
		return trim(line), nil, false
	}
	return trim(line[:i]), line[i+1:], true
}

// trim is bytes.TrimSpace for the usual cell, which has no space around it.
func trim(cell []byte) []byte {
	if len(cell) > 0 && cell[0] > ' ' && cell[len(cell)-1] > ' ' && cell[0] < 0x80 && cell[len(cell)-1] < 0x80 {
		return cell
	}
	return bytes.TrimSpace(cell)
}

// split cuts a line into all its cells. They share the line's memory.
func split(line []byte, separator byte) [][]byte {
	var cells [][]byte
	for more := true; more; {
		var cell []byte
		cell, line, more = cut(line, separator)
		cells = append(cells, cell)
	}
	return cells
}

// isMissing reports whether a cell says that a probe gave no reading.
func isMissing(cell []byte) bool {
	if len(bytes.Trim(cell, "-")) == 0 {
		return true
	}
	for _, word := range [...]string{"nan", "n/a", "null", "ol", "open"} {
		if len(cell) == len(word) && strings.EqualFold(string(cell), word) {
			return true
		}
	}
	return false
}
