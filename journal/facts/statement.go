package facts

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Statement is one thing that entries amount to. Its words come last: [Say]
// renders it, and nothing is ever read back out of them.
type Statement struct {
	About    journal.Subject `json:"about,omitzero"`
	Quantity Quantity        `json:"quantity"`
	Of       string          `json:"of,omitzero"` // which of several: a joint, a coat, a seat, a lot, a person
	// Value is a figure as it was typed, or one that was worked out and rounded
	// once, or a word.
	Value   string    `json:"value,omitzero"`
	Unit    string    `json:"unit,omitzero"`
	With    []Figure  `json:"with,omitempty"` // further figures and words of the same thing
	Limit   Limit     `json:"limit,omitzero"`
	Source  string    `json:"source,omitzero"` // of the limit
	Met     Met       `json:"met,omitzero"`
	Sure    Sure      `json:"sure"`
	Safety  bool      `json:"safety,omitzero"`  // somebody could be hurt who takes it for an approval
	Because Cause     `json:"because,omitzero"` // of what is not proven, still to come or undone
	Entries []EntryID `json:"entries,omitempty"`
	Undone  EntryID   `json:"undone,omitzero"` // the later entry that took it away

	Tool   *ToolState `json:"-"` // of a reading with a tool
	Result Result     `json:"-"` // the calculation behind the value, nil without one
	Fault  error      `json:"-"` // why a calculation gave nothing

	in   words.Writing // of its sentence
	when string        // the day or time that Of or Value names, as the sentence has it
}

// EntryID names an entry.
type EntryID = journal.EntryID

// Result is a calculation of the trade, which says its figures in a sentence.
type Result interface{ Say() string }

// Figure is a named figure or word of a statement.
type Figure struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	Unit  string `json:"unit,omitzero"`

	told string // the value as a sentence has it, where that is another
}

// Limit is what a value is held against: quantities in the shop's units, one of
// them or both.
type Limit struct {
	Low   string `json:"low,omitzero"`
	High  string `json:"high,omitzero"`
	Words string `json:"words,omitzero"` // of a limit that is not a range
	// Printed is how the limit is printed, where that is in another unit than the
	// shop works in.
	Printed string `json:"printed,omitzero"`

	day string // that High is, as a sentence has it
}

// String returns "98 N.m to 112 N.m", "at least 3 K" or "at most 120 min", with
// how it is printed where that is in another unit.
func (l Limit) String() string {
	switch text := words.Fill(" (%s)", l.Printed); {
	case l.Low != "" && l.High != "":
		return l.Low + " to " + l.High + text
	case l.Low != "":
		return "at least " + l.Low + text
	case l.day != "":
		return "by " + l.day + text
	case isDay(l.High):
		return "by " + journal.Date(l.High).Said(words.Writing{}) + text
	case l.High != "":
		return "at most " + l.High + text
	}
	return l.Words
}

// Met says whether a value keeps its limit.
type Met string

// Whether a limit is kept.
const (
	NotAsked Met = "" // nothing limits it
	Yes      Met = "yes"
	No       Met = "no"
	NotKnown Met = "not known"
)

// met says whether a limit is kept.
func met(kept bool) Met {
	if kept {
		return Yes
	}
	return No
}

// Sure says how sure a statement is.
type Sure string

// How sure statements are.
const (
	Written   Sure = "as written"           // somebody wrote it
	Measured  Sure = "measured on the part" // or at the joint, with an instrument that is good
	Reckoned  Sure = "worked out"           // from what was written
	AtMost    Sure = "at most"              // it may have been less
	NotProven Sure = "not proven"
	NotYet    Sure = "still to come"
	Undone    Sure = "undone" // it was so until a later entry
)

// with returns a named word.
func with(name, value string) Figure { return Figure{Name: name, Value: value} }

// figured returns a named word that has figures in it, such as a quantity with another
// unit beside it.
func figured(name, value string, w words.Writing) Figure {
	return Figure{Name: name, Value: value, told: w.Number(value)}
}

// dated returns a named day.
func dated(name string, t time.Time, w words.Writing) Figure {
	return Figure{Name: name, Value: words.Day(t), told: w.Day(t)}
}

// typed returns a named quantity as it was typed.
func typed(name string, q fmt.Stringer) Figure {
	value, unit := split(q)
	return Figure{Name: name, Value: value, Unit: unit}
}

// beside returns a named quantity as it was typed, with the shop's unit beside
// it where that is another.
func beside[D unit.Dimension](name string, q unit.Of[D], in unit.Unit[D], w words.Writing) Figure {
	if unit.Foreign(q, in) {
		return figured(name, unit.Typed(q, in, 0), w)
	}
	return typed(name, q)
}

// shown returns a named figure that was worked out, as it is written with its unit.
func shown(name, text string) Figure {
	value, unit := unit.Split(text)
	return Figure{Name: name, Value: value, Unit: unit}
}

// valued gives a statement a value that was worked out, as it is written with
// its unit.
func (s Statement) valued(text string) Statement {
	s.Value, s.Unit = unit.Split(text)
	return s
}

// split cuts a quantity as typed into its figure and its unit. What has no figure, such as
// a dash for one that is not known, stays whole.
func split(q fmt.Stringer) (value, spelling string) {
	if value, spelling = unit.Split(q.String()); value == "" {
		return q.String(), ""
	}
	return value, spelling
}

// String returns the figure with its unit.
func (f Figure) String() string { return strings.TrimSpace(f.Value + " " + f.Unit) }

// Figure returns the value with its unit.
func (s Statement) Figure() string { return Figure{Value: s.Value, Unit: s.Unit}.String() }

// Has returns a further figure by its name, with its unit; "" if it is not
// there.
func (s Statement) Has(name string) string {
	for _, f := range s.With {
		if f.Name == name {
			return f.String()
		}
	}
	return ""
}

// Fails reports whether it is a reason against: its limit is not kept, or nothing
// shows that it is. What is only still to come is none.
func (s Statement) Fails() bool {
	return s.Sure != NotYet && (s.Met == No || s.Met == NotKnown && s.Sure == NotProven)
}

// Told returns the statement with its figures as the shop writes them where people read
// them. Programs read the statement itself.
func (s Statement) Told() Statement {
	if s.in == (words.Writing{}) {
		return s
	}
	if s.Unit != "" || s.Quantity == Schedule || s.Quantity == Overbake {
		s.Value = s.in.Number(s.Value)
	}
	s.With = slices.Clone(s.With)
	for i := range s.With {
		f := &s.With[i]
		switch {
		case f.told != "":
			f.Value = f.told
		case f.Unit != "":
			f.Value = s.in.Number(f.Value)
		}
	}
	s.Limit.Low, s.Limit.Printed = s.in.Number(s.Limit.Low), s.in.Number(s.Limit.Printed)
	if isDay(s.Limit.High) {
		s.Limit.day = journal.Date(s.Limit.High).Said(s.in)
	} else {
		s.Limit.High = s.in.Number(s.Limit.High)
	}
	return s
}

// isDay reports whether a limit is a day.
func isDay(limit string) bool {
	_, err := time.Parse(time.DateOnly, limit)
	return err == nil
}

// on adds what a statement rests on.
func (s Statement) on(lines ...*record.Line) Statement {
	for _, l := range lines {
		if l != nil {
			s.Entries = append(s.Entries, l.ID)
		}
	}
	return s
}

// Same reports whether two statements state the same of the same thing.
func (s Statement) Same(o Statement) bool {
	if s.Because == Warned && o.Because == Warned && s.Quantity == o.Quantity {
		return s.Result == o.Result
	}
	return s.About == o.About && s.Quantity == o.Quantity && s.Of == o.Of && s.Value == o.Value && s.Unit == o.Unit && s.Because == o.Because && slices.Equal(s.With, o.With)
}
