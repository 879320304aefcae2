package facts

import (
	"fmt"
	"strconv"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// Say returns the statement as a clause.
func (s Statement) Say() string {
	s = s.Told()
	var text string
	switch s.Sure {
	case NotYet:
		if text = s.entryWords(); text == "" {
			text = s.pending()
		}
	case Undone:
		text = s.undone()
	default:
		for _, area := range []func() string{s.missingWords, s.entryWords, s.makeUpWords, s.partWords, s.coatWords, s.lifeWords, s.cornerWords, s.drivingWords, s.vehicleWords, s.mannerWords} {
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

// clause is a calculation's own clause.
type clause string

// Say returns it.
func (w clause) Say() string { return string(w) }

// calendar writes a day that a statement has, as the shop writes it.
func (s Statement) calendar(day string) string { return journal.Date(day).Said(s.in) }

// count writes a number that stands in a statement with its noun.
func count(number, noun string) string {
	n, err := strconv.Atoi(number)
	if err != nil {
		return number + " " + noun
	}
	return words.Count(n, noun)
}

// String returns it.
func (w clause) String() string { return string(w) }
