package readonlytest

import (
	"fmt"
	"html"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Mistakes says what is badly made in a page: elements that are not closed or
// stand where they cannot, ids given twice, labels and descriptions of nothing,
// headings out of order, pictures without words, tables without a caption or a
// named group around them, and styles and scripts in the page itself.
func Mistakes(page string) []string {
	c := &checker{ids: map[string]bool{}}
	rest := strings.TrimPrefix(page, "<!doctype html>")
	for {
		text, after, found := strings.Cut(rest, "<")
		if strings.Contains(text, ">") {
			c.add("a stray angle bracket in %q", text)
		}
		if !found {
			break
		}
		rest = c.tag(after)
	}
	c.end()
	return c.mistakes
}

// tag reads a tag after its bracket and returns what follows. All values of
// attributes stand in double quotes, as templates write them.
func (c *checker) tag(text string) string {
	text, closes := strings.CutPrefix(text, "/")
	n := strings.IndexFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if n <= 0 {
		c.add("a stray angle bracket before %.20q", text)
		return text
	}
	name, attrs := strings.ToLower(text[:n]), map[string]string{}
	for text = strings.TrimSpace(text[n:]); ; text = strings.TrimSpace(text) {
		if rest, ok := strings.CutPrefix(text, "/>"); ok {
			c.open(name, attrs, true)
			return rest
		}
		if rest, ok := strings.CutPrefix(text, ">"); ok {
			if closes {
				c.close(name)
			} else {
				c.open(name, attrs, false)
			}
			return rest
		}
		n := strings.IndexAny(text, "= />\"\n")
		if n <= 0 {
			c.add("the tag <%s> does not end", name)
			return text
		}
		attr, value := text[:n], ""
		text = text[n:]
		if rest, ok := strings.CutPrefix(text, `="`); ok {
			value, text, _ = strings.Cut(rest, `"`)
		}
		if _, twice := attrs[attr]; twice {
			c.add("<%s> has %s twice", name, attr)
		}
		attrs[attr] = value
	}
}

type checker struct {
	stack    []element
	ids      map[string]bool
	wanted   []string // ids that something refers to
	heading  int
	mains    int
	mistakes []string
}

type element struct {
	name      string
	captioned bool
	named     bool // a group with a label
}

func (c *checker) add(format string, args ...any) {
	c.mistakes = append(c.mistakes, fmt.Sprintf(format, args...))
}

var (
	void   = []string{"meta", "link", "br", "hr", "img", "input"}
	blocks = []string{"p", "div", "ul", "ol", "dl", "table", "section", "form", "h1", "h2", "h3", "details", "fieldset", "figure", "pre"}
)

func (c *checker) open(name string, attrs map[string]string, closed bool) {
	c.attributes(name, attrs)
	c.place(name)
	switch {
	case slices.Contains(void, name), closed:
	default:
		c.stack = append(c.stack, element{name: name, named: attrs["role"] == "group" && attrs["aria-label"] != ""})
	}
}

func (c *checker) attributes(name string, attrs map[string]string) {
	if id, ok := attrs["id"]; ok {
		if c.ids[id] || id == "" {
			c.add("the id %q stands twice or is empty", id)
		}
		c.ids[id] = true
	}
	for _, ref := range []string{"for", "aria-describedby", "aria-labelledby"} {
		c.wanted = append(c.wanted, strings.Fields(attrs[ref])...)
	}
	if target, ok := strings.CutPrefix(attrs["href"], "#"); ok {
		c.wanted = append(c.wanted, target)
	}
	if _, ok := attrs["style"]; ok || strings.HasPrefix(attrs["href"], "javascript:") {
		c.add("<%s> has a style or a script of its own", name)
	}
	if alt, ok := attrs["alt"]; name == "img" && (!ok || alt == "") {
		c.add("a picture has no words")
	}
	for _, link := range []string{attrs["href"], attrs["src"], attrs["action"]} {
		if strings.Contains(link, "//") || strings.Contains(link, "ZgotmplZ") {
			c.add("a link to %q", link)
		}
	}
	for a := range attrs {
		if strings.HasPrefix(a, "on") {
			c.add("<%s> has a script in %s", name, a)
		}
	}
}

// place looks whether an element may stand where it does.
func (c *checker) place(name string) {
	var in string
	if len(c.stack) > 0 {
		in = c.stack[len(c.stack)-1].name
	}
	within := func(outer string) bool {
		return slices.ContainsFunc(c.stack, func(e element) bool { return e.name == outer })
	}
	switch {
	case slices.Contains(blocks, name) && within("p"), name == "form" && within("form"), name == "a" && within("a"),
		(name == "button" || name == "input") && within("a"):
		c.add("<%s> inside <%s>", name, in)
	case (in == "ul" || in == "ol") != (name == "li"):
		c.add("<%s> inside <%s>", name, in)
	case name == "tr" && in != "tbody" && in != "thead":
		c.add("a row outside of a table's head and body")
	}
	if name == "caption" && in == "table" {
		c.stack[len(c.stack)-1].captioned = true
	}
	if name == "main" {
		c.mains++
	}
	if level, err := strconv.Atoi(strings.TrimPrefix(name, "h")); err == nil && len(name) == 2 {
		if level > c.heading+1 || level == 1 && c.heading > 0 {
			c.add("<%s> comes after <h%d>", name, c.heading)
		}
		c.heading = level
	}
}

func (c *checker) close(name string) {
	if len(c.stack) == 0 || c.stack[len(c.stack)-1].name != name {
		c.add("</%s> closes nothing; open are %v", name, c.stack)
		return
	}
	last := c.stack[len(c.stack)-1]
	if name == "table" && !last.captioned && !slices.ContainsFunc(c.stack, func(e element) bool { return e.named }) {
		c.add("a table has no caption")
	}
	c.stack = c.stack[:len(c.stack)-1]
}

func (c *checker) end() {
	for _, e := range c.stack {
		c.add("<%s> is never closed", e.name)
	}
	for _, id := range c.wanted {
		if !c.ids[id] {
			c.add("nothing has the id %q", id)
		}
	}
	if c.mains != 1 || c.heading == 0 {
		c.add("the page has %d main parts, and its last heading is <h%d>", c.mains, c.heading)
	}
}

// Links lists the paths to which a page leads, and from which it takes pictures,
// without what follows a #.
func Links(page string) []string {
	var list []string
	for _, attr := range []string{` href="`, ` src="`} {
		for _, piece := range strings.Split(page, attr)[1:] {
			link, _, _ := strings.Cut(piece, `"`)
			link, _, _ = strings.Cut(html.UnescapeString(link), "#")
			if strings.HasPrefix(link, "/") {
				list = append(list, link)
			}
		}
	}
	return list
}
