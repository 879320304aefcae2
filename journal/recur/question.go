package recur

import (
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/words"
)

// Question is what is to be looked into.
type Question struct {
	Defect string       // what it looks like; the most frequent one if empty
	Filter parts.Filter // of the parts that are looked at
	// People has persons named. Without it they are told apart by letters: who
	// sprayed is nobody's business outside the office.
	People bool
}

// ErrDefect is returned for a defect that cannot be seen.
var ErrDefect = errors.New("nothing looks like that")

// Check refuses what no part can have.
func (q Question) Check() error {
	if looks := journal.Look("").Words(); q.Defect != "" && !slices.Contains(looks, q.Defect) {
		return fmt.Errorf("%w: %q; a defect is one of: %s", ErrDefect, q.Defect, words.Commas(looks...))
	}
	return nil
}

const (
	level    = 0.95 // of intervals
	allowed  = 0.05 // of false finds among all finds, on average
	mostCuts = 60   // of a number
)
