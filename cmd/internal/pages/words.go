package pages

import (
	"hash/fnv"
	"html/template"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// Stamp is how something stands, as a stamp on a card. Its word says the
// state to who does not see the shape, and on paper.
type Stamp struct {
	State    route.State // "" is to do
	Initials string
	Time     string
	Struck   bool // a line was put through it
	Unasked  bool // nothing is to be done
	Written  bool // of an entry, which is there and is not a verdict
	Seed     string
}

// Word is the state in a word.
func (s Stamp) Word() string {
	switch {
	case s.Struck:
		return "corrected"
	case s.Unasked:
		return "not asked"
	case s.Written:
		return "stamped"
	case s.State == "":
		return "to do"
	default:
		return string(s.State)
	}
}

// Shape is the class that the style sheet draws the state with.
func (s Stamp) Shape() string { return strings.ReplaceAll(s.Word(), " ", "-") }

// Turn is the angle at which a hand pressed it: from −8 to 8 degrees, always
// the same for the same entry.
func (s Stamp) Turn() int {
	h := fnv.New32a()
	h.Write([]byte(s.Seed))
	return int(h.Sum32()%17) - 8
}

// Pressed is the stamp of a square on a card.
func Pressed(s route.Square, shop *record.Shop) Stamp {
	st := Stamp{State: s.State, Unasked: s.Unasked()}
	if s.Last != nil {
		at := time.Time(s.Last.Clocks.Device)
		st.Initials, st.Time, st.Seed = shop.Initials(s.Last.By), words.Clock(at), s.Last.ID.String()
	}
	return st
}

// functions are those of every template.
func functions(now func() time.Time) template.FuncMap {
	return template.FuncMap{
		"clock":   func(s journal.Stamp) string { return words.Clock(time.Time(s)) },
		"when":    func(l *record.Line) string { return When(time.Time(l.Clocks.Device), now(), l.Writing()) },
		"at":      func(t time.Time, w words.Writing) string { return When(t, now(), w) },
		"place":   Place,
		"capital": words.Capital,
		"count":   words.Count[int],
		"lower":   strings.ToLower,
		"caution": func() string { return record.Caution }, // at the end of every page
		"join":    func(list []string) string { return words.Commas(list...) },
	}
}

// When writes a time as a person reads it: the hour of today, else the day,
// and the year if it is another one.
func When(t, now time.Time, w words.Writing) string {
	switch {
	case t.IsZero():
		return ""
	case t.Year() != now.Year():
		return w.Moment(t)
	case t.YearDay() != now.In(t.Location()).YearDay():
		return w.ThisYear(t)
	default:
		return words.Clock(t)
	}
}

// Place says in short what a subject is: "LF caliper", "RR", "vehicle",
// "run bake-17".
func Place(s journal.Subject) string {
	if s.Job() != "" {
		return s.Place()
	}
	word, name, _ := strings.Cut(string(s), "/")
	if word == "shop" { // there is one
		return "the shop"
	}
	if name == journal.Unnamed { // it gets its name from what is typed
		return "new " + word
	}
	return word + " " + name
}
