package facts

import (
	"fmt"
	"strconv"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// makeUpWords says what a part has.
func (s Statement) makeUpWords() string {
	if s.Quantity != PartHas {
		return ""
	}
	if s.Because == NotDescribed {
		return "nobody has stated what this part has, so names and numbers were not checked against it"
	}
	line := "no brake line"
	if s.Has("line") != string(journal.NoLine) {
		line = "the line joins by " + s.Has("line")
	}
	return words.Commas(fmt.Sprintf("the part has %s to be kept bare", count(s.Value, "place")), count(s.Has("rubber"), "rubber part"),
		count(s.Has("bleeders"), "bleeder screw"), line, "parking brake: "+s.Has("parking brake"))
}

// part says which of several are meant, with the verb that goes with it: "the
// piston bore is", "1 of 2 guide pin bores is", "2 guide pin bores are".
func (s Statement) part(one, many string) string {
	missing, _ := strconv.Atoi(s.Value)
	all, _ := strconv.Atoi(s.Has("of"))
	switch {
	case all == 1:
		return fmt.Sprintf("the %s %s", s.Of, one)
	case missing < all:
		return words.Of(missing, all, s.Of) + " " + words.Choose(missing == 1, one, many)
	default:
		return fmt.Sprintf("the %s %s", words.Count(all, s.Of), many)
	}
}
