package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"

	"fettlebook/cmd/internal/exit"
	"fettlebook/journal"

	"github.com/go-json-experiment/json/jsontext"
)

// document is one JSON object of standard input, and where it stood: "line 3"
// of lines, "item 3" of a list.
type document struct {
	at  string
	raw jsontext.Value
	err error // if it is not a whole JSON object
}

// maxDocument is room for the largest entry with every character escaped.
const maxDocument = 8 * journal.MaxEntryBytes

// documents yields the objects of a JSON list, or of lines of JSON. An object
// may go over several lines. A bad line is yielded as such and the next one
// is read; after a bad list or a failed read nothing more comes.
func documents(in io.Reader) iter.Seq[document] {
	r := bufio.NewReader(in)
	for n := 1; ; {
		switch c, err := r.Peek(1); {
		case err != nil, c[0] != ' ' && c[0] != '\t' && c[0] != '\r' && c[0] != '\n':
			if err == nil && c[0] == '[' {
				return items(r)
			}
			return lines(r, n)
		case c[0] == '\n':
			n++
		}
		_, _ = r.Discard(1) // it was peeked at
	}
}

func items(r io.Reader) iter.Seq[document] {
	return func(yield func(document) bool) {
		in := jsontext.NewDecoder(r, jsontext.AllowDuplicateNames(true))
		if _, err := in.ReadToken(); err != nil {
			yield(document{at: "item 1", err: badJSON(err)})
			return
		}
		for n := 1; ; n++ {
			at := fmt.Sprintf("item %d", n)
			if in.PeekKind() == ']' {
				return
			}
			raw, err := in.ReadValue()
			if err != nil {
				yield(document{at: at, err: fmt.Errorf("%w; nothing after it was read", badJSON(err))})
				return
			}
			d := document{at: at, raw: raw.Clone()}
			if raw.Kind() != '{' {
				d.err = badJSON(errors.New("it is not an object in curly brackets"))
			}
			if !yield(d) {
				return
			}
		}
	}
}

// lines counts from the given number on.
func lines(r io.Reader, n int) iter.Seq[document] {
	return func(yield func(document) bool) {
		in := bufio.NewScanner(r)
		in.Buffer(nil, maxDocument)
		var held []byte // the beginning of an object that goes on
		begun := 0
		for ; in.Scan(); n++ {
			whole := append(held, in.Bytes()...)
			state := stateOf(whole)
			if state == broken && len(held) > 0 {
				// The line before was cut off; this one may be good.
				if !yield(document{at: fmt.Sprintf("line %d", begun), err: badJSON(io.ErrUnexpectedEOF)}) {
					return
				}
				held = nil
				whole = bytes.Clone(in.Bytes())
				state = stateOf(whole)
			}
			if len(held) == 0 {
				begun = n
			}
			d := document{at: fmt.Sprintf("line %d", begun)}
			switch state {
			case blank:
				continue
			case begins:
				held = append(bytes.Clone(whole), '\n')
				continue
			case complete:
				d.raw = bytes.Clone(whole)
			case broken:
				d.err = badJSON(errors.New("it is not a JSON object"))
			}
			held = nil
			if !yield(d) {
				return
			}
		}
		if len(held) > 0 {
			yield(document{at: fmt.Sprintf("line %d", begun), err: badJSON(io.ErrUnexpectedEOF)})
		}
		if err := in.Err(); err != nil {
			yield(document{at: "standard input", err: fmt.Errorf("read on: %w", err)})
		}
	}
}

// lineState is how a line, with what is held of the lines before it, stands.
type lineState int

const (
	blank    lineState = iota + 1
	begins             // a whole line or more of an object that is not at its end
	complete           // one object
	broken
)

func stateOf(line []byte) lineState {
	switch trimmed := bytes.TrimSpace(line); {
	case len(trimmed) == 0:
		return blank
	case trimmed[0] != '{':
		return broken
	}
	in := jsontext.NewDecoder(bytes.NewReader(line), jsontext.AllowDuplicateNames(true)) // readObject names them
	_, err := in.ReadValue()
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF) && len(line) < maxDocument:
		return begins
	case err != nil || len(bytes.TrimSpace(line[in.InputOffset():])) > 0:
		return broken
	}
	return complete
}

func badJSON(err error) error {
	return &exit.Error{Status: exit.Refused, Sentence: "this is not one whole JSON object in curly brackets", Err: err}
}
