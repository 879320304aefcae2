package shop

import (
	"context"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// recount sets how often things were used by entries that are corrected, or
// that were taken over, or of which there are several.
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
		more, err := s.usesNow(ctx, id, item.Wrote != nil)
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
// corrected, quoted or here twice.
func (s *Shop) usesNow(ctx context.Context, id journal.EntryID, quoted bool) ([]index.Used, error) {
	lines, corrected, err := s.corrected(ctx, id, nil, quoted)
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
// that is only supposed. It reports whether there is any, or it had to be
// folded because several have its id.
func (s *Shop) corrected(ctx context.Context, id journal.EntryID, supposed *placed, always bool) ([]*record.Line, bool, error) {
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
		if i < own || !rows[i].Twin {
			continue // all of the own id are here
		}
		twins, err := g.named(rows[i].ID)
		if err != nil {
			return nil, false, err
		}
		for _, t := range twins {
			if _, here := g.here[t.Position]; !here {
				rows = append(rows, t)
			}
		}
	}
	if len(rows) == own && own < 2 && supposed == nil && !always {
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
	var reg *record.Shop
	if slices.ContainsFunc(list, (*record.Decoded).Quotes) || supposed != nil && supposed.Quotes() { // which the register proves
		if reg, err = s.registered(ctx); err != nil {
			return nil, false, err
		}
	}
	return book.Within(reg, nil).Line(id), true, nil
}

// prove has everything counted anew that was taken over from the logs of
// devices whose keys the register has now: they prove it.
func (s *Shop) prove(ctx context.Context, items []index.Item) error {
	for _, item := range items {
		var device journal.DeviceID
		switch p := item.Payload.(type) {
		case *journal.Device:
			device = p.Device
		case *journal.Shop:
			device = item.Device
		}
		if device == "" || item.Void {
			continue
		}
		rows, err := s.index.Citing(ctx, journal.Of("device", string(device)))
		if err != nil {
			return err
		}
		list, err := s.read(ctx, rows)
		if err != nil {
			return err
		}
		for _, d := range list {
			if !d.Quotes() || d.Entry().Source.Device != device {
				continue
			}
			if err := s.index.MarkDirty(ctx, index.Home(d.Entry().Subject)); err != nil {
				return err
			}
			used, err := s.usesNow(ctx, d.Entry().ID, true)
			if err != nil {
				return err
			}
			if err := s.index.SetUses(ctx, used...); err != nil {
				return err
			}
		}
	}
	return nil
}
