package facts

import (
	"fmt"

	"fettlebook/journal/words"
)

// Beside says what stands beside the line of an entry on which the statement
// rests. The line of a second look tells itself who looked at which work, what
// was found and what was tried; beside it stands what else there is to it, ""
// if nothing.
func (s Statement) Beside() string {
	if s.Quantity != SecondLook && s.Quantity != OwnLook || s.Sure == NotYet || s.Sure == Undone || s.Because != "" {
		return s.Say()
	}
	s = s.Told()
	return words.Clauses(s.alone(), s.clock(), s.registered())
}

// lookWords says who looked at which work, and how that counts.
func (s Statement) lookWords() string {
	who := s.Has("initials")
	switch s.Because {
	case NotTheseBrakes:
		if says := s.Has("says"); says != "" {
			return fmt.Sprintf("%s looked at “%s”, which is not work on this vehicle", who, says)
		}
		return fmt.Sprintf("the entry that %s looked at is not here", who)
	case OwnWork:
		return who + " looked at work of their own"
	case NotAlone:
		return fmt.Sprintf("%s looked at work of their own, and %s was on the register too when it was done or after it", who, s.Has("other"))
	case NotAuthorised:
		return who + " is not authorised for second checks"
	case PhotoOfAnother:
		return who + " looked again without a photograph that no other entry has"
	case NothingTried:
		return who + " looked again and did not write what was tried by hand"
	}
	work := "the " + s.Has("work") + words.Fill(" at %s", s.Has("at"))
	told := fmt.Sprintf("%s checked %s of %s", who, work, s.Has("written"))
	if s.Quantity == OwnLook {
		return words.Clauses(fmt.Sprintf("%s: %s, in order", s.alone(), told), s.clock(), s.tried())
	}
	return words.Clauses(fmt.Sprintf("%s by %s: in order", told, s.Has("by")), s.tried(), s.registered())
}

// alone says that nobody else could look, and how long the one person waited.
func (s Statement) alone() string {
	return words.If(s.Quantity == OwnLook, fmt.Sprintf("the shop had one person; the same person looked again after %s", s.Figure()))
}

// clock says what the times of day say of that wait.
func (s Statement) clock() string {
	return words.Fill("by the times of day it was %s, but these can be set", s.Has("by time of day"))
}

// registered says that whoever looked came late, and how long they stayed.
func (s Statement) registered() string {
	switch who := s.Has("initials"); {
	case s.Has("left") != "":
		return fmt.Sprintf("%s came on the register after that work and was off it again before the vehicle was handed back", who)
	case s.Has("joined") != "":
		return fmt.Sprintf("%s came on the register after that work", who)
	}
	return ""
}

// tried lists what was tried by hand at a second look.
func (s Statement) tried() string {
	var list []string
	for _, f := range s.With {
		if f.Name == "tried" {
			list = append(list, f.Value)
		}
	}
	return words.Fill("tried by hand: %s", words.Commas(list...))
}
