package shop

import (
	"context"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
	"fettlebook/media"
)

// Mark is a mark on a photograph. One of a defect is a ring and says what the defect is
// called.
type Mark struct {
	journal.Pointed
	By *record.Line
}

// Marks returns the marks on a photograph of an entry that count, in the order in which
// they were written: what is said of that entry, or by it. Whoever names the photograph in
// an entry about something else, or on another job, marks nothing here.
func (v *View) Marks(of *record.Line, photo media.Ref) (list []Mark) {
	rows, err := v.shop.index.Citing(v.ctx, journal.PhotoSubject(photo))
	v.note(err)
	var here []index.Row
	for _, r := range rows {
		if r.Home == index.Home(of.Subject) {
			here = append(here, r)
		}
	}
	for _, l := range v.lines(here) {
		switch d := l.Effect().(type) {
		case *journal.Defect:
			for _, m := range d.Marks {
				if m.Photo == photo && (l.ID == of.ID || l.ID == of.Corrects) {
					list = append(list, Mark{journal.Pointed{Photo: photo, Shape: journal.RingMark, X: m.X, Y: m.Y, Radius: m.Radius, Says: d.Called() + ", " + d.Face}, l})
				}
			}
		case *journal.PhotoMarks:
			for _, m := range d.Marks {
				if m.Photo == photo && d.Of == of.ID {
					list = append(list, Mark{m, l})
				}
			}
		}
	}
	return list
}

// mayMark refuses more marks on a photograph than can be told apart on it.
func (s *Shop) mayMark(ctx context.Context, d journal.Draft, more *journal.PhotoMarks) error {
	if err := s.Follow(ctx); err != nil {
		return err
	}
	v := s.View(ctx)
	of := v.Within(d.Subject, more.Of)
	if of == nil {
		return v.err // the log keeps what is said of an entry that is not here yet
	}
	on := make(map[media.Ref]int)
	for _, m := range more.Marks {
		if _, counted := on[m.Photo]; !counted {
			on[m.Photo] = len(v.Marks(of, m.Photo))
		}
		if on[m.Photo]++; on[m.Photo] > journal.MaxMarks {
			return journal.Refuse(journal.PhotoMarked, journal.TooMany, "a photograph takes %d marks, and with these it would have more; strike out one that is not needed, or take another photograph", journal.MaxMarks)
		}
	}
	return v.err
}
