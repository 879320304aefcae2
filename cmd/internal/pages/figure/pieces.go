package figure

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Piece is a stretch of a sentence: words, or a figure with its unit, which is
// set in the face of figures.
type Piece struct {
	Text   string
	Figure bool
}

// Pieces cuts the sentence at its figures. Together they are the text, which
// begins with a capital.
func (s Sentence) Pieces() (list []Piece) {
	rest := capital(s.Text)
	words := 0 // bytes of rest before the figure that is looked for
	for words < len(rest) {
		n := figureIn(rest, words)
		if n == 0 {
			_, size := utf8.DecodeRuneInString(rest[words:])
			words += size
			continue
		}
		if words > 0 {
			list = append(list, Piece{Text: rest[:words]})
		}
		list = append(list, Piece{rest[words : words+n], true})
		rest, words = rest[words+n:], 0
	}
	if rest != "" {
		list = append(list, Piece{Text: rest})
	}
	return list
}

// figureIn returns how many bytes the figure has that begins at a place, 0 if
// none does. Digits in a name, as in tw-1, are not a figure.
func figureIn(text string, at int) int {
	before, _ := utf8.DecodeLastRuneInString(text[:at])
	if at > 0 && (unicode.IsLetter(before) || unicode.IsDigit(before) || strings.ContainsRune("-_./:", before)) {
		return 0
	}
	digits := 0
	for _, r := range text[at:] {
		if !unicode.IsDigit(r) && (digits == 0 || !strings.ContainsRune(".-:", r)) {
			break
		}
		digits += utf8.RuneLen(r)
	}
	number := strings.TrimRight(text[at:at+digits], ".-:")
	if number == "" {
		return 0
	}
	n := len(number)
	if after, ok := strings.CutPrefix(text[at+n:], " "); ok {
		for _, unit := range []string{"N·m", "N.m", "lb·ft", "lb·in", "lbf·ft", "lbf.ft", "lbf·in", "lbf.in", "daN·m", "kgf·m", "°C", "°F", "µm", "mil", "mm", "mL", "min", "km", "mi", "US fl oz", "psi", "bar", "lb", "K", "%", "s", "h", "L"} {
			if next, found := strings.CutPrefix(after, unit); found && !startsWithLetter(next) {
				return n + 1 + len(unit)
			}
		}
	}
	if startsWithLetter(text[at+n:]) {
		return 0
	}
	return n
}

func startsWithLetter(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return unicode.IsLetter(r)
}

func capital(text string) string {
	r, size := utf8.DecodeRuneInString(text)
	// A name such as tw-1 stays as it is written.
	word, _, _ := strings.Cut(text, " ")
	if !unicode.IsLetter(r) || strings.ContainsAny(word, "-0123456789") {
		return text
	}
	return string(unicode.ToUpper(r)) + text[size:]
}

// Figure reports whether a cell holds a figure, which is set in the face of
// figures.
func (t Table) Figure(cell string) bool {
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(cell, "−-"))
	return unicode.IsDigit(r)
}
