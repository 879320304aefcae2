package record

import (
	"bufio"
	"strings"
	"unicode/utf8"

	"fettlebook/journal/words"
)

// width is the longest line of text, in characters.
const width = 96

// page writes wrapped lines of text. An error stays in the writer until it is
// flushed.
type page struct{ w *bufio.Writer }

// blank leaves a line empty.
func (p page) blank() { p.w.WriteString("\n") }

// put writes a text with an indent, wrapped at spaces.
func (p page) put(indent int, text string) { p.hang(indent, "", text) }

// hang writes a text after a label; its further lines stand under its first.
func (p page) hang(indent int, label, text string) {
	margin := strings.Repeat(" ", indent)
	if text == "" {
		label = strings.TrimRight(label, " ")
	}
	p.w.WriteString(margin + label)
	margin += strings.Repeat(" ", utf8.RuneCountInString(label))
	at := len(margin)
	for i, word := range unbroken(words.OneLine(text)) {
		length := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case at+1+length > width:
			p.w.WriteString("\n" + margin)
			at = len(margin)
		default:
			p.w.WriteString(" ")
			at++
		}
		p.w.WriteString(word)
		at += length
	}
	p.w.WriteString("\n")
}

// unbroken splits a text where a line may end: at spaces, but not between a
// number and its unit.
func unbroken(text string) []string {
	var list []string
	number := false
	for _, word := range strings.Fields(text) {
		if number {
			list[len(list)-1] += " " + word
		} else {
			list = append(list, word)
		}
		last := word[len(word)-1]
		number = '0' <= last && last <= '9'
	}
	return list
}
