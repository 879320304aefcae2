package journal

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Problem is one thing that is wrong with a draft or with an entry's data.
type Problem struct {
	// Path is the field in the data, such as "spots.0.place"; "" for what is
	// no field: the entry as a whole, who wrote it, what it is about.
	Path string
	Code Code
	Say  string // what is wrong and what to do; see String
}

// Code says in a stable word what kind of problem it is.
type Code string

// What may be wrong.
const (
	Missing      Code = "missing"       // it must be given
	NotReadable  Code = "not readable"  // the value is none of its type: no quantity, none of the words, no name
	WrongShape   Code = "wrong shape"   // another JSON type is wanted
	UnknownField Code = "unknown field" // the kind has no such field
	Null         Code = "null"          // left out is what was meant
	Twice        Code = "twice"         // given twice, or naming a thing twice
	TooLong      Code = "too long"
	TooMany      Code = "too many"
	TooSmall     Code = "too small"
	Clash        Code = "clash"         // fields that hang together do not fit
	OutOfBounds  Code = "out of bounds" // a figure outside its span
	NotText      Code = "not text"      // bytes that are not text
	NotAllowed   Code = "not allowed"   // here, or by hand
	WhoUnknown   Code = "who"           // the person is missing or is none
	WhatUnknown  Code = "what"          // the kind or the subject is missing or does not fit
)

// String is the problem as a sentence that stands alone.
func (p Problem) String() string {
	switch {
	case p.Path == "", p.Code == Clash, p.Code == TooMany:
		return p.Say
	case p.Code == NotReadable, p.Code == OutOfBounds:
		return "the field " + p.Path + ": " + p.Say
	default:
		return "the field " + p.Path + " " + p.Say
	}
}

// Invalid says everything that is wrong at once.
type Invalid struct {
	Kind     Kind
	Problems []Problem
}

// Refuse returns an *[Invalid] of one problem that is not a field's.
func Refuse(kind Kind, code Code, format string, args ...any) error {
	return &Invalid{Kind: kind, Problems: []Problem{{Code: code, Say: fmt.Sprintf(format, args...)}}}
}

// Error gives the sentences in a row.
func (e *Invalid) Error() string {
	if e.Kind == "" {
		return e.Sentences()
	}
	return fmt.Sprintf("%s: %s", e.Kind, e.Sentences())
}

// Sentences gives the sentences in a row, without the kind.
func (e *Invalid) Sentences() string {
	var all []string
	for _, p := range e.Problems {
		all = append(all, p.String())
	}
	return strings.Join(all, "; ")
}

// problems gathers all that is wrong, so that a person hears it at once.
type problems struct {
	list []Problem
	// unread says that names and words did not come through the decoder,
	// which checks them.
	unread bool
	// typed says that it is being written, and was not before.
	typed bool
}

// add tells of a problem. A figure that lies outside its span is told of once.
func (p *problems) add(path string, code Code, format string, args ...any) {
	if slices.ContainsFunc(p.list, func(is Problem) bool { return is.Code == OutOfBounds && is.Path == path }) {
		return
	}
	p.list = append(p.list, Problem{Path: path, Code: code, Say: fmt.Sprintf(format, args...)})
}

func (p *problems) missing(path string) { p.add(path, Missing, "is missing") }

// least demands a count of at least low.
func (p *problems) least(path string, n, low int) {
	if n < low {
		p.add(path, TooSmall, "is %d; it must be at least %d", n, low)
	}
}

// counted demands that each thing is there once at least.
func (p *problems) counted(path string, items []Item) {
	for i, item := range items {
		p.least(row(path, i)+".count", item.Count, 1)
	}
}

// distinct refuses a thing that is named twice.
func distinct[T comparable](p *problems, path string, list []T) {
	seen := make(map[T]bool, len(list))
	for _, x := range list {
		if seen[x] {
			p.add(path, Twice, "names %v twice", x)
		}
		seen[x] = true
	}
}

// row is the path of an element of a list.
func row(path string, i int) string { return path + "." + strconv.Itoa(i) }
