package card

import (
	"fmt"
	"strings"
)

// Mistake says what is wrong in the text of a card, and where.
type Mistake struct {
	Line    int    // from 1
	Column  int    // from 1, in characters
	Text    string // the offending text, shortened
	Problem string // one sentence: what is wrong and what to do
}

// Error returns "line 12, column 9: "cure.complete": …".
func (m *Mistake) Error() string {
	return fmt.Sprintf("line %d, column %d: %q: %s", m.Line, m.Column, m.Text, m.Problem)
}

// Mistakes is everything that is wrong with a card, in the order of its text.
type Mistakes []*Mistake

// Error returns a line for each.
func (m Mistakes) Error() string {
	lines := make([]string, len(m))
	for i, one := range m {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the single mistakes.
func (m Mistakes) Unwrap() []error {
	errs := make([]error, len(m))
	for i, one := range m {
		errs[i] = one
	}
	return errs
}

// quoted is how much of the offending text a mistake shows.
const quoted = 60

func shortened(text string) string {
	runes := []rune(text)
	if len(runes) <= quoted {
		return text
	}
	return string(runes[:quoted]) + "…"
}
