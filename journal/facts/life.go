package facts

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Life is what is known of a casting over all its jobs: of each coat how it was
// prepared, baked and read, what heat the metal has had by then, and what was
// found on it; what went in instead of what; and what is not known.
type Life struct {
	Name    string          `json:"name"`
	Number  string          `json:"number,omitzero"`
	Pattern string          `json:"pattern,omitzero"`
	Metal   journal.Metal   `json:"metal,omitzero"`
	Stays   []*Stay         `json:"stays"`
	Heat    *Statement      `json:"heat,omitzero"`       // of all that is on record, nil if it was never hot
	Open    []Statement     `json:"not_known,omitempty"` // of the casting as a whole
	Notes   []string        `json:"notes,omitempty"`     // what is doubtful of which casting it is
	Casting *record.Casting `json:"-"`                   // nil of a part that nobody could know again
}

// LifeOf puts together what several jobs tell of a casting, in the order in which
// it was there. The casting is nil of a part that nobody could know again.
func (s *Stock) LifeOf(casting *record.Casting, stays ...*Stay) *Life {
	l := &Life{Stays: slices.DeleteFunc(slices.Clone(stays), func(s *Stay) bool { return s == nil }), Casting: casting}
	if len(l.Stays) == 0 {
		return nil
	}
	for _, stay := range l.Stays {
		l.Number, l.Pattern = cmp.Or(l.Number, stay.Record.Number), cmp.Or(l.Pattern, stay.Record.Pattern)
		if m := stay.Record.Metal; m != journal.MetalNotKnown {
			l.Metal = cmp.Or(m, l.Metal)
		}
	}
	last := l.Stays[len(l.Stays)-1]
	l.Name = fmt.Sprintf("%s %s of %s", last.Part.Corner(), last.Part.Part(), last.Vehicle)
	if casting != nil {
		l.Name, l.Notes = casting.Name(), casting.Notes
	}
	l.add(s)
	l.sortFlaws()
	l.notKnown(s.Writing())
	return l
}

// add numbers the coats, and adds the heat up.
func (l *Life) add(stock *Stock) {
	var sum heatSum
	coats := 0
	for _, s := range l.Stays {
		for _, w := range s.Works {
			if w.Coat > 0 {
				coats++
				w.Coat = coats
			}
			if sum.join(w.minutes); sum.runs > 0 {
				by := stock.heatBy(s.Part, sum).on(sum.rests...)
				w.Heat, l.Heat = &by, &by
			}
		}
	}
}

// sortFlaws gives each defect to the coat that it is of, also one that was found
// in a later job, and leaves those of coats that are not on record with their job.
func (l *Life) sortFlaws() {
	known := make(map[journal.EntryID]Flaw)
	for _, s := range l.Stays {
		for _, f := range s.found {
			known[f.Entry] = f
		}
	}
	taken := make(map[journal.EntryID]bool)
	for _, s := range l.Stays {
		for _, w := range s.Works {
			for _, of := range w.found {
				f, ok := known[of.line.ID]
				if !ok {
					f = Flaw{Entry: of.line.ID, Defect: of.Defect, Line: of.line}
				}
				f.Coat, taken[f.Entry] = w.Coat, true
				w.Flaws = append(w.Flaws, f)
			}
		}
	}
	for _, s := range l.Stays {
		for _, f := range s.found {
			if !taken[f.Entry] {
				s.Flaws = append(s.Flaws, f)
			}
		}
	}
}

// Flawed lists all defects of the casting: those of coats that are not on record,
// then coat by coat.
func (l *Life) Flawed() (list []Flaw) {
	for _, s := range l.Stays {
		list = append(list, s.Flaws...)
	}
	for _, s := range l.Stays {
		for _, w := range s.Works {
			list = append(list, w.Flaws...)
		}
	}
	return list
}

// notKnown says what is not known of the casting as a whole.
func (l *Life) notKnown(w words.Writing) {
	first, last := l.Stays[0], l.Stays[len(l.Stays)-1]
	open := func(s Statement, of *Stay) {
		s.About, s.Met, s.Sure, s.Because, s.in = of.Part, NotKnown, NotProven, NotOnRecord, w
		l.Open = append(l.Open, s)
	}
	if first.InsteadOf == "" {
		open(Statement{Quantity: LifeBefore, Value: onDay(first.Begun, words.Writing{}), when: onDay(first.Begun, w)}, first)
	}
	switch {
	case l.Number != "":
	case l.Casting != nil && l.Casting.Mark != "":
		open(Statement{Quantity: CastingTold, Value: l.Casting.Mark}, last)
	default:
		open(Statement{Quantity: CastingTold}, last)
	}
	if l.Metal == "" {
		open(Statement{Quantity: CastingMetal}, last)
	}
	switch {
	case time.Time(last.Released).IsZero():
	case last.heard.Known():
		open(Statement{Quantity: HeardSince, Value: onDay(last.Released, words.Writing{}), when: onDay(last.Released, w), With: []Figure{{Name: "days", Value: last.heard.String()}}}, last)
	default:
		open(Statement{Quantity: HeardSince, Value: onDay(last.Released, words.Writing{}), when: onDay(last.Released, w)}, last)
	}
}

func onDay(s journal.Stamp, w words.Writing) string { return w.Day(time.Time(s)) }

// Known is what the parts table calls the casting, "" if it bears nothing.
func (l *Life) Known() string {
	if l.Casting == nil {
		return ""
	}
	return cmp.Or(l.Number, l.Casting.Mark)
}

// Mark is the cast mark of earlier programs, "" where none was written.
func (l *Life) Mark() string {
	if l.Casting == nil {
		return ""
	}
	return l.Casting.Mark
}

// Coats is how many coats are on record.
func (l *Life) Coats() (n int) {
	for _, s := range l.Stays {
		for _, w := range s.Works {
			n = max(n, w.Coat)
		}
	}
	return n
}
