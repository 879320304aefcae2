package facts

import "fmt"

// Say returns the statement as a clause.
func (s Statement) Say() string {
	var text string
	switch s.Sure {
	case NotYet:
		if text = s.entryWords(); text == "" {
			text = s.pending()
		}
	case Undone:
		text = s.undone()
	default:
		for _, area := range []func() string{s.entryWords, s.partWords, s.coatWords, s.cornerWords, s.vehicleWords} {
			if text = area(); text != "" {
				break
			}
		}
	}
	if text == "" { // a statement without words would be a fault of ours
		return fmt.Sprintf("%s: %s", s.Quantity, s.Figure())
	}
	return text
}

// words are a calculation's own clause.
type words string

// Say returns them.
func (w words) Say() string { return string(w) }

// count writes a number with its noun.
func count(n, noun string) string {
	if n == "1" {
		return n + " " + noun
	}
	return n + " " + noun + "s"
}

// String returns them.
func (w words) String() string { return string(w) }
