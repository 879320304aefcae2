// Package tag is what the code on a printed label says: of which shop it is, and
// what it hangs on. It names no customer and no plate, so whoever reads it with a
// telephone of their own learns nothing; every tablet of the shop finds the thing by
// it, without a network.
//
//	FETTLETAG1.k7m2q4xw.job/4f7kk2m9/corner/LF/part/caliper
//
// A part has its own subject, the bag of a corner's small parts the corner's, a
// rack that of its run, a tool its name on the shelf.
package tag

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
)

const (
	beginning = "FETTLETAG"
	edition   = "1."
)

// Longest is how long the text of a tag can be.
const Longest = 600

// What can be wrong with a text.
var (
	ErrOther = errors.New("this code is not on a tag of a shop")
	ErrTorn  = errors.New("this tag cannot be read whole; print it again, or find the part by its plate")
	ErrNewer = errors.New("this tag was printed by a newer program; bring this one up to date")
)

// Tag is a label's code.
type Tag struct {
	Shop journal.ShopID
	Of   journal.Subject
}

// String is the text of the code.
func (t Tag) String() string { return beginning + edition + string(t.Shop) + "." + string(t.Of) }

// Hangs reports whether a tag can be on a subject.
func Hangs(of journal.Subject) bool {
	return slices.Contains([]string{"job/corner/part", "job/corner", "run", "tool"}, of.Word())
}

// Parse reads the text of a code. A text that is not one wraps one of the errors of
// this package.
func Parse(text string) (t Tag, err error) {
	rest, ours := strings.CutPrefix(text, beginning)
	if !ours {
		return t, ErrOther
	}
	rest, known := strings.CutPrefix(rest, edition)
	if number, _, whole := strings.Cut(rest, "."); !known && whole && strings.Trim(number, "0123456789") == "" && number != "" {
		return t, ErrNewer
	}
	shop, of, whole := strings.Cut(rest, ".")
	if !known || !whole || len(text) > Longest {
		return t, ErrTorn
	}
	if err := t.Shop.UnmarshalText([]byte(shop)); err != nil {
		return Tag{}, fmt.Errorf("%w (%w)", ErrTorn, err)
	}
	if t.Of, err = journal.ParseSubject(of); err != nil || !Hangs(t.Of) {
		return Tag{}, ErrTorn
	}
	return t, nil
}
