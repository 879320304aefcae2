package figure

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal/words"
)

// Pieces cuts the sentence at its figures. Together they are the text, which
// begins with a capital.
func (s Sentence) Pieces() []pages.Bit { return pages.Bits(words.Capital(s.Text)) }

// Figure reports whether a cell holds a figure, which is set in the face of
// figures.
func (t Table) Figure(cell string) bool {
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(cell, "−-"))
	return unicode.IsDigit(r)
}
