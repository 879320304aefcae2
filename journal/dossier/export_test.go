package dossier

import (
	"strings"
	"unicode"

	"fettlebook/journal/index"
)

// Holds reports whether a text has what a card says.
func Holds(text, says string) bool {
	list := wordsOf(text)
	for i := range list {
		if holds(text, list, i, says) {
			return true
		}
	}
	return false
}

// Spells reports whether a text may have a plate or a VIN, squashed.
func Spells(text, name string) bool {
	for got := range spelled(text) {
		if got == name {
			return true
		}
	}
	return false
}

// InWord reports whether a letter belongs to a word.
func InWord(r rune) bool { return inWord(r) }

// IsSpelled reports whether a text is as long and as broken up as a plate or a
// VIN may be.
func IsSpelled(name string) bool {
	list := wordsOf(name)
	if len(list) == 0 || len(list) > mostWords {
		return false
	}
	name = name[list[0].from:list[len(list)-1].to]
	n := len(index.Squash(name))
	return n >= telling && n <= longest && strings.ContainsFunc(name, unicode.IsLetter)
}
