package facts

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// where says in short what a subject in a job is: "LF caliper", "RR", "" of the
// vehicle.
func where(s journal.Subject) string {
	if s.Part() != "" {
		return fmt.Sprintf("%s %s", s.Corner(), s.Part())
	}
	return string(s.Corner())
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
	entry := fmt.Sprintf("of %s", s.Has("written"))
	if s.Quantity == OwnLook {
		text := fmt.Sprintf("the shop had one person; the same person looked again after %s: %s checked %s %s (entry %s), in order", s.Figure(), who, work, entry, s.Has("entry"))
		if day := s.Has("by time of day"); day != "" {
			text += fmt.Sprintf("; by the times of day it was %s, but these can be set", day)
		}
		return text + s.tried()
	}
	text := fmt.Sprintf("%s checked %s %s by %s (entry %s): in order", who, work, entry, s.Has("by"), s.Has("entry")) + s.tried()
	switch {
	case s.Has("left") != "":
		text += fmt.Sprintf("; %s came on the register after that work and was off it again before the vehicle was handed back", who)
	case s.Has("joined") != "":
		text += fmt.Sprintf("; %s came on the register after that work", who)
	}
	return text
}

// tried lists what was tried by hand at a second look.
func (s Statement) tried() string {
	var list []string
	for _, f := range s.With {
		if f.Name == "tried" {
			list = append(list, f.Value)
		}
	}
	return words.Fill("; tried by hand: %s", words.Commas(list...))
}
