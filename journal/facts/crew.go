package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// Crew lists who was on the register at the moment of an entry, by what it had
// said by then; without an entry, who is now. What was struck out later was on
// it all the same.
func (s *Stock) Crew(at *record.Line) (list []journal.PersonID) {
	if at != nil {
		s = s.UpTo(at)
	}
	for _, p := range s.shop.People {
		on := false
		for _, l := range p.Lines {
			switch s.effect(l).(type) {
			case *journal.Person:
				on = true
			case *journal.Retirement:
				on = false
			}
		}
		if on {
			list = append(list, p.ID)
		}
	}
	return list
}

// on reports whether a person is on the register at a moment.
func (w *Job) on(id journal.PersonID, at *record.Line) bool {
	return slices.Contains(w.stock.Crew(at), id)
}

// ofOne reports whether the shop has one person at a moment.
func (w *Job) ofOne(at *record.Line) bool { return len(w.stock.Crew(at)) == 1 }

// joined is the entry that first put a person on the register, struck out
// since or not; nil without.
func (w *Job) joined(id journal.PersonID) *record.Line {
	if p := w.shop.Person(id); p != nil {
		for _, l := range p.Lines {
			if _, added := l.Payload.(*journal.Person); added && l.Counts() {
				return l
			}
		}
	}
	return nil
}

// alone reports whether who looked was the only person on the register from
// some work on until the look; if not, beside is the entry that put another
// one on it. Who is taken off only for the look, or put on in between, makes
// it a shop of several.
func (w *Job) alone(from, look *Event) (beside *record.Line, alone bool) {
	moments := []*record.Line{from.Line, look.Line}
	for _, p := range w.shop.People {
		for _, l := range p.Lines {
			if Before(from.Line, l) && Before(l, look.Line) {
				moments = append(moments, l)
			}
			if l.Struck == nil {
				continue
			}
			if c := l.Struck.Correction(); Before(from.Line, c) && Before(c, look.Line) {
				moments = append(moments, c)
			}
		}
	}
	alone = true
	for _, at := range moments {
		crew := w.stock.Crew(at)
		alone = alone && slices.Equal(crew, []journal.PersonID{look.Line.By})
		for _, id := range crew {
			if id != look.Line.By {
				beside = Last(beside, w.joined(id))
			}
		}
	}
	return beside, alone
}
