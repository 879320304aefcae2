package journal

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Corner is where on the vehicle a part sits.
type Corner = Choice[corners]

type corners struct{}

// LF, RF, LR, RR as seen by the driver; NC for a part that belongs to no
// corner, such as a cover or an arm on its own.
func (corners) words() []string {
	return written(LeftFront, RightFront, LeftRear, RightRear, NoCorner)
}

// The words of [Corner].
const (
	LeftFront  Corner = "LF"
	RightFront Corner = "RF"
	LeftRear   Corner = "LR"
	RightRear  Corner = "RR"
	NoCorner   Corner = "NC"
)

// OnVehicle are the corners that a vehicle has.
func OnVehicle() []Corner { return []Corner{LeftFront, RightFront, LeftRear, RightRear} }

// CheckBleedOrder refuses an order of bleeding in which not each corner of a
// vehicle is named once. None at all is in order.
func CheckBleedOrder(order []Corner) error {
	if all := slices.Sorted(slices.Values(order)); len(all) > 0 && !slices.Equal(all, slices.Sorted(slices.Values(OnVehicle()))) {
		return errors.New("an order of bleeding must name LF, RF, LR and RR, each once")
	}
	return nil
}

// Subject says what an entry is about: pairs of a word and a name, joined by
// slashes, from the large to the small.
//
//	job/4f7kk2m9
//	job/4f7kk2m9/corner/LF
//	job/4f7kk2m9/corner/LF/part/caliper
//	run/bake-17
//	tool/tw-1
type Subject string

// subjectPairs caps the depth; three pairs are used today.
const subjectPairs = 6

// ParseSubject checks the grammar. Words that this version does not know are
// allowed, so that a newer fettlebook's entries can be kept.
func ParseSubject(text string) (Subject, error) {
	fields := strings.Split(text, "/")
	if text == "" || len(fields)%2 != 0 || len(fields) > 2*subjectPairs {
		return "", fmt.Errorf("the subject %.80q is not made of word/name pairs such as job/4f7kk2m9/corner/LF", text)
	}
	for _, f := range fields {
		if _, err := ParseName[part](f); err != nil {
			return "", fmt.Errorf("the subject %.80q holds the field %.45q, which is not a plain name", text, f)
		}
	}
	return Subject(text), nil
}

// UnmarshalText checks and sets the subject.
func (s *Subject) UnmarshalText(text []byte) error {
	got, err := ParseSubject(string(text))
	if err != nil {
		return err
	}
	*s = got
	return nil
}

// get returns the name that follows the word, or "".
func (s Subject) get(word string) string {
	for rest := string(s); rest != ""; {
		here, after, _ := strings.Cut(rest, "/")
		name, more, _ := strings.Cut(after, "/")
		if here == word {
			return name
		}
		rest = more
	}
	return ""
}

// Job returns the job that the subject lies in, or "".
func (s Subject) Job() JobID { return JobID(s.get("job")) }

// Corner returns the corner that the subject lies in, or "".
func (s Subject) Corner() Corner { return Corner(s.get("corner")) }

// Part returns the part, or "".
func (s Subject) Part() PartID { return PartID(s.get("part")) }

// Run returns the run, or "".
func (s Subject) Run() RunID { return RunID(s.get("run")) }

// Word returns the words of the pairs joined by slashes: "job/corner/part".
// It says which kind of thing the subject is.
func (s Subject) Word() string {
	first, rest, _ := strings.Cut(string(s), "/")
	_, rest, more := strings.Cut(rest, "/")
	if !more {
		return first // which most subjects are asked for, and which is there already
	}
	var words strings.Builder
	words.Grow(len(s))
	words.WriteString(first)
	for more {
		var word string
		word, rest, _ = strings.Cut(rest, "/")
		words.WriteString("/" + word)
		_, rest, more = strings.Cut(rest, "/")
	}
	return words.String()
}

// Last returns the last name: what the subject is called.
func (s Subject) Last() string { return string(s[strings.LastIndexByte(string(s), '/')+1:]) }

// Place says in short what a subject in a job is: "LF caliper", "cover" of the
// whole car, "RR", "vehicle".
func (s Subject) Place() string {
	switch {
	case s.Corner() == "":
		return "vehicle"
	case s.Part() == "" || s.Corner() == NoCorner:
		return s.Last()
	default:
		return string(s.Corner()) + " " + s.Last()
	}
}

// Within is the place of work at a corner or a part, "" of the vehicle as a
// whole, whose place needs no word in a sentence.
func (s Subject) Within() string {
	if s.Corner() == "" {
		return ""
	}
	return s.Place()
}

// About builds the subject of a job, one of its corners, or one of its parts;
// leave corner or part empty for the wider thing.
func About(job JobID, corner Corner, part PartID) Subject {
	s := "job/" + string(job)
	if corner != "" {
		s += "/corner/" + string(corner)
	}
	if part != "" {
		s += "/part/" + string(part)
	}
	return Subject(s)
}

// Unnamed stands for the name of a thing of the register that is yet to be written down:
// what is typed there names it.
const Unnamed = "new"

// Of builds the subject of a named thing: Of("tool", "tw-1").
func Of(word, name string) Subject { return Subject(word + "/" + name) }

// check says whether a subject fits the places where a kind may stand.
func (s Subject) check(places []string) error {
	if s == "" {
		return errors.New("the subject is missing; say what the entry is about")
	}
	if _, err := ParseSubject(string(s)); err != nil {
		return err
	}
	if corner := s.get("corner"); corner != "" {
		var c Corner
		if err := c.UnmarshalText([]byte(corner)); err != nil {
			return fmt.Errorf("the corner %w", err)
		}
	}
	if len(places) > 0 && !slices.Contains(places, s.Word()) {
		return fmt.Errorf("the subject is a %s; this kind is about: %s", s.Word(), strings.Join(places, ", "))
	}
	return nil
}
