package pages

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"fettlebook/journal/words"
)

// Seen shows on a finished page a mark wherever somebody typed what cannot be seen
// and turns or moves the text around it ([words.Hidden]). What a form sends back stays
// as it was typed: the attribute value, those that begin with data-, and what a
// textarea holds. The page is one by html/template, which quotes attributes and
// escapes the signs of markup within them.
func Seen(page []byte) []byte {
	if !bytes.ContainsFunc(page, words.Hidden) {
		return page
	}
	s := scanner{rest: page}
	for len(s.rest) > 0 {
		s.shown(s.until("<"))
		switch {
		case bytes.HasPrefix(s.rest, []byte("<!--")):
			s.kept(s.until("-->"))
		case len(s.rest) > 0:
			s.tag()
		}
	}
	return s.out
}

// scanner reads a page from its beginning on.
type scanner struct {
	rest, out []byte
}

// until takes what stands before a text; everything if that never comes.
func (s *scanner) until(text string) (before []byte) {
	n := bytes.Index(s.rest, []byte(text))
	if n < 0 {
		n = len(s.rest)
	}
	before, s.rest = s.rest[:n], s.rest[n:]
	return before
}

func (s *scanner) kept(text []byte) { s.out = append(s.out, text...) }

func (s *scanner) shown(text []byte) {
	for len(text) > 0 {
		r, n := utf8.DecodeRune(text)
		if words.Hidden(r) {
			s.out = utf8.AppendRune(s.out, words.Mark)
		} else {
			s.out = append(s.out, text[:n]...)
		}
		text = text[n:]
	}
}

// tag goes over a tag with its attributes, and over what stands between a tag and its
// end if a form sends that back.
func (s *scanner) tag() {
	n := bytes.IndexAny(s.rest, " \t\r\n\f/>")
	if n < 1 || n == 1 && s.rest[1] != '/' {
		n = 1
	}
	name := string(bytes.ToLower(s.rest[1:n]))
	s.kept(s.rest[:n])
	s.rest = s.rest[n:]
	for len(s.rest) > 0 && s.rest[0] != '>' {
		n := bytes.IndexAny(s.rest, `"'>`)
		if n < 0 {
			n = len(s.rest)
		}
		before := s.rest[:n]
		s.kept(before)
		if s.rest = s.rest[n:]; len(s.rest) == 0 || s.rest[0] == '>' {
			break
		}
		quote := string(s.rest[:1])
		s.kept(s.rest[:1])
		s.rest = s.rest[1:]
		if value := s.until(quote); sentBack(before) {
			s.kept(value)
		} else {
			s.shown(value)
		}
		if len(s.rest) > 0 {
			s.kept(s.rest[:1])
			s.rest = s.rest[1:]
		}
	}
	if name == "textarea" {
		s.kept(s.until("</textarea"))
	}
}

// sentBack reports whether the attribute whose name ends a text is one that a form or a
// script sends back.
func sentBack(before []byte) bool {
	fields := strings.Fields(strings.TrimSuffix(string(bytes.TrimSpace(before)), "="))
	if len(fields) == 0 {
		return false
	}
	name := strings.ToLower(fields[len(fields)-1])
	return name == "value" || strings.HasPrefix(name, "data-")
}
