package shop

import (
	"context"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// recount sets how often things were used by entries that are corrected.
func (s *Shop) recount(ctx context.Context, items []index.Item) error {
	if err := s.readCorrected(ctx, items); err != nil {
		return err
	}
	done := make(map[journal.EntryID]bool)
	var list []index.Used
	for _, item := range items {
		if item.Entry == nil {
			continue
		}
		id := item.Entry.ID
		if c, ok := item.Payload.(*journal.Correction); ok {
			var err error
			if id, err = s.root(ctx, c.Of); err != nil {
				return err
			}
		}
		if done[id] {
			continue
		}
		done[id] = true
		more, err := s.usesNow(ctx, id)
		if err != nil {
			return err
		}
		list = append(list, more...)
	}
	return s.index.SetUses(ctx, list...)
}

// readCorrected reads what is corrected at once, for those who ask of it one by
// one.
func (s *Shop) readCorrected(ctx context.Context, items []index.Item) error {
	var all []index.Row
	for _, item := range items {
		if c, ok := item.Payload.(*journal.Correction); ok {
			rows, err := s.index.ByID(ctx, c.Of)
			if err != nil {
				return err
			}
			all = append(all, rows...)
		}
	}
	_, err := s.read(ctx, all)
	return err
}

// root follows corrections of corrections to what they are about in the end.
func (s *Shop) root(ctx context.Context, id journal.EntryID) (journal.EntryID, error) {
	for seen := map[journal.EntryID]bool{}; !seen[id]; {
		seen[id] = true
		rows, err := s.index.ByID(ctx, id)
		if err != nil {
			return id, err
		}
		list, err := s.read(ctx, rows)
		if err != nil {
			return id, err
		}
		for _, d := range list {
			if c, ok := d.Payload().(*journal.Correction); ok {
				id = c.Of
			}
		}
	}
	return id, nil
}

// usesNow is what an entry used, also if its id is that of several, if it is
// corrected.
func (s *Shop) usesNow(ctx context.Context, id journal.EntryID) ([]index.Used, error) {
	lines, corrected, err := s.corrected(ctx, id, nil)
	if err != nil || !corrected {
		return nil, err
	}
	var list []index.Used
	for _, l := range lines {
		list = append(list, index.Used{Position: l.Position(), Uses: usesOf(l)})
	}
	return list, nil
}

func usesOf(l *record.Line) []journal.Use {
	if p := l.Effect(); p != nil {
		return journal.Uses(p)
	}
	return nil
}

// corrected folds an entry with all that corrects it, and with a correction
// that is only supposed. It reports whether there is any.
func (s *Shop) corrected(ctx context.Context, id journal.EntryID, supposed *placed) ([]*record.Line, bool, error) {
	g := newGathering(ctx, s.index, s.read)
	rows, err := g.named(id)
	if err != nil {
		return nil, false, err
	}
	own := len(rows)
	for i := 0; i < len(rows); i++ {
		g.take(rows[i])
		cites, err := g.citing(journal.EntrySubject(rows[i].ID))
		if err != nil {
			return nil, false, err
		}
		for _, c := range cites {
			if _, here := g.here[c.Position]; !here && c.Kind == journal.EntryCorrected {
				rows = append(rows, c)
			}
		}
	}
	if len(rows) == own && supposed == nil {
		return nil, false, nil
	}
	list, err := s.read(ctx, g.queue)
	if err != nil {
		return nil, false, err
	}
	for _, d := range list {
		g.here[d.Position()] = d
	}
	book, err := g.book(s.by)
	if err != nil {
		return nil, false, err
	}
	if supposed != nil {
		book.Take(supposed.Decoded, supposed.Standing)
	}
	return book.Shop().Line(id), true, nil
}
