package words

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Mark stands where a character is hidden.
const Mark = '·'

// Hidden reports whether a character cannot be seen and changes how what stands
// around it is seen: one that moves the cursor of a terminal, turns the direction of
// writing, joins or parts letters, or is no character at all. White space is not.
// Terminal, pages and papers show [Mark] in its place; what is kept stays as typed.
func Hidden(r rune) bool {
	switch {
	case r < utf8.RuneSelf:
		return r < ' ' && r != '\t' && r != '\n' && r != '\v' && r != '\f' && r != '\r' || r == 0x7f
	case unicode.IsSpace(r):
		return false
	}
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == utf8.RuneError
}

// Seen shows a mark in the place of each character that is hidden. White space stays.
func Seen(text string) string {
	return strings.Map(func(r rune) rune {
		if Hidden(r) {
			return Mark
		}
		return r
	}, text)
}

// OneLine is a text as it is [Seen], with a space for each white space.
func OneLine(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, Seen(text))
}
