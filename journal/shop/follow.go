package shop

import (
	"context"
	"errors"
	"iter"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// step is how many entries are taken in at once while others read; backlog is
// how many there have to be before the index is filled in bulk.
const (
	step    = 200
	backlog = 5000
)

// Follow takes in what was written to the logs and countersigned since. When
// it returns without an error, the shop holds all that the logs held when it
// was called.
func (s *Shop) Follow(ctx context.Context) error {
	s.following.Lock()
	defer s.following.Unlock()
	heads, err := s.log.Heads(ctx)
	if err != nil {
		return err
	}
	marks, err := s.index.Marks(ctx)
	if err != nil {
		return err
	}
	have := make(map[journal.DeviceID]int64)
	for _, m := range marks {
		have[m.Device] = m.Size
	}
	missing := int64(0)
	for _, h := range heads {
		missing += h.Size - have[h.Device]
	}
	if missing >= backlog {
		err = s.fill(ctx, heads, have)
	} else {
		err = s.catchUp(ctx, heads, have)
	}
	if err != nil {
		return err
	}
	if err := s.receive(ctx, heads); err != nil {
		return err
	}
	s.tell()
	return nil
}

// catchUp takes in a few entries, and drops what they change.
func (s *Shop) catchUp(ctx context.Context, heads []journal.Head, have map[journal.DeviceID]int64) error {
	for _, h := range heads {
		var batch []journal.Logged
		for l, err := range s.since(ctx, h, have[h.Device]) {
			if err != nil {
				return err
			}
			if batch = append(batch, l); len(batch) == step {
				if err := s.take(ctx, batch); err != nil {
					return err
				}
				batch = batch[:0]
			}
		}
		if err := s.take(ctx, batch); err != nil {
			return err
		}
	}
	return nil
}

// since yields what a log has behind what is indexed, up to its head.
func (s *Shop) since(ctx context.Context, h journal.Head, from int64) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		if from >= h.Size {
			return
		}
		for l, err := range s.log.Entries(ctx, h.Device, from) {
			if err == nil && l.Index >= h.Size {
				return
			}
			if !yield(l, err) {
				return
			}
		}
	}
}

// take puts entries into the index and drops the cases that asked what they
// answer.
func (s *Shop) take(ctx context.Context, batch []journal.Logged) error {
	if len(batch) == 0 {
		return nil
	}
	items := make([]index.Item, len(batch))
	decoded := make([]*record.Decoded, len(batch))
	for i, l := range batch {
		decoded[i] = record.Decode(l)
		items[i] = itemOf(decoded[i])
	}
	s.grown.Lock()
	defer s.grown.Unlock()
	if err := s.index.Put(ctx, items); err != nil {
		return err
	}
	for i, item := range items {
		q, err := s.answers(ctx, item)
		if err != nil {
			return err
		}
		s.register.take(item, decoded[i])
		s.mu.Lock()
		s.cases.answer(q)
		s.decoded.put(item.Position, decoded[i], len(batch[i].Bytes))
		s.mu.Unlock()
	}
	return s.recount(ctx, items)
}

// itemOf is a decoded entry as the index takes it.
func itemOf(d *record.Decoded) index.Item {
	return index.Item{Position: d.Position(), Entry: d.Entry(), Payload: d.Payload(), Place: d.Place()}
}

// answers lists the questions that an entry answers anew. A correction answers
// those of what it corrects, with what was written and with what stands
// instead.
func (s *Shop) answers(ctx context.Context, item index.Item) (questions, error) {
	q := answered(item)
	if item.Entry == nil {
		return q, nil
	}
	twins, err := s.index.ByID(ctx, item.Entry.ID)
	if err != nil {
		return nil, err
	}
	for _, t := range twins {
		q[inHome(t.Home)] = always
	}
	corrections := []index.Item{item}
	for seen := map[journal.EntryID]bool{}; len(corrections) > 0; corrections = corrections[1:] {
		c, ok := corrections[0].Payload.(*journal.Correction)
		if !ok || seen[c.Of] {
			continue
		}
		seen[c.Of] = true
		rows, err := s.index.ByID(ctx, c.Of)
		if err != nil {
			return nil, err
		}
		of, err := s.read(ctx, rows)
		if err != nil {
			return nil, err
		}
		for _, d := range of {
			target := itemOf(d)
			q.add(answered(target))
			if now, err := journal.ParsePayload(target.Entry.Type, c.Data); err == nil && len(c.Data) > 0 {
				target.Payload = now
				q.add(answered(target))
			}
			corrections = append(corrections, itemOf(d))
		}
	}
	return q, nil
}

// add takes over questions. Of two places the earlier matters to more.
func (q questions) add(more questions) {
	for what, place := range more {
		if at, ok := q[what]; !ok || place < at {
			q[what] = place
		}
	}
}

// recount sets how often things were used by entries that are corrected.
func (s *Shop) recount(ctx context.Context, items []index.Item) error {
	done := make(map[journal.EntryID]bool)
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
		if err := s.recountOne(ctx, id); err != nil {
			return err
		}
	}
	return nil
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

// recountOne sets how often things were used by one entry, if it is corrected.
func (s *Shop) recountOne(ctx context.Context, id journal.EntryID) error {
	lines, corrected, err := s.corrected(ctx, id, nil)
	if err != nil || !corrected {
		return err
	}
	for _, l := range lines {
		if err := s.index.SetUses(ctx, journal.Position{Device: l.Device, Index: l.Index}, usesOf(l)); err != nil {
			return err
		}
	}
	return nil
}

func usesOf(l *record.Line) []journal.Use {
	if p := l.Effect(); p != nil {
		return journal.Uses(p)
	}
	return nil
}

// corrected folds an entry with all that corrects it, and with a correction
// that is only supposed. It reports whether there is any.
func (s *Shop) corrected(ctx context.Context, id journal.EntryID, supposed *record.Decoded) ([]*record.Line, bool, error) {
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
	book := record.NewBook()
	for _, d := range list {
		book.Take(d)
	}
	if supposed != nil {
		book.Take(supposed)
	}
	return book.Shop().Line(id), true, nil
}

// fill takes in many entries: the index is filled in bulk, and nothing that
// was folded is kept.
func (s *Shop) fill(ctx context.Context, heads []journal.Head, have map[journal.DeviceID]int64) error {
	s.grown.Lock()
	defer s.grown.Unlock()
	s.mu.Lock()
	s.cases.clear()
	s.mu.Unlock()
	s.register.forget()
	var corrections []index.Item
	items := func(yield func(index.Item, error) bool) {
		for _, h := range heads {
			for l, err := range s.since(ctx, h, have[h.Device]) {
				var item index.Item
				if err == nil {
					item = index.Read(l)
					if item.Entry != nil {
						item.Place = item.Entry.ID.Bits()
					}
					if _, ok := item.Payload.(*journal.Correction); ok {
						corrections = append(corrections, item)
					}
				}
				if !yield(item, err) {
					return
				}
			}
		}
	}
	if err := s.index.Load(ctx, items, func(n int) { s.logger.InfoContext(ctx, "index filled", "entries", n) }); err != nil {
		return err
	}
	return s.recount(ctx, corrections)
}

// receive drops the cases with entries of which the time of receipt became
// known.
func (s *Shop) receive(ctx context.Context, heads []journal.Head) error {
	for _, h := range heads {
		c, err := s.log.LastCountersigned(ctx, h.Device)
		if err != nil {
			return err
		}
		from, ok := s.signed[h.Device]
		to := min(c.Size, h.Size)
		s.signed[h.Device] = max(from, to)
		if !ok || from >= to { // what was folded before this start is not in memory
			continue
		}
		if err := s.received(ctx, h.Device, from, to); err != nil {
			return err
		}
	}
	return nil
}

func (s *Shop) received(ctx context.Context, device journal.DeviceID, from, to int64) error {
	s.grown.Lock()
	defer s.grown.Unlock()
	if to-from > backlog {
		s.mu.Lock()
		s.cases.clear()
		s.decoded.clear()
		s.mu.Unlock()
		s.register.forget()
		return nil
	}
	q := make(questions)
	for i := from; i < to; i++ {
		at := journal.Position{Device: device, Index: i}
		row, err := s.index.At(ctx, at)
		if errors.Is(err, index.ErrNoEntry) {
			continue
		}
		if err != nil {
			return err
		}
		s.mu.Lock()
		s.decoded.drop(at)
		s.mu.Unlock()
		q[inHome(row.Home)] = always
		if !ofRegister(row.Home) || row.Kind == journal.ClockCompared {
			continue
		}
		list, err := s.read(ctx, []index.Row{row})
		if err != nil {
			return err
		}
		for _, d := range list {
			s.register.take(itemOf(d), d)
		}
	}
	s.mu.Lock()
	s.cases.answer(q)
	s.mu.Unlock()
	return nil
}
