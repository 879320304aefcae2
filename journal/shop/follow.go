package shop

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"iter"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
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
	grown, err := s.follow(ctx)
	if first, _ := s.Now(); err == nil && (grown || first == 0) {
		s.tell()
	}
	return err
}

// follow reports whether there was anything to take in. following is held.
func (s *Shop) follow(ctx context.Context) (grown bool, err error) {
	heads, err := s.log.Heads(ctx)
	if err != nil {
		return false, err
	}
	marks, err := s.index.Marks(ctx)
	if err != nil {
		return false, err
	}
	have := make(map[journal.DeviceID]int64)
	for _, m := range marks {
		have[m.Device] = m.Size
	}
	missing := int64(0)
	for _, h := range heads {
		missing += h.Size - have[h.Device]
	}
	if s.sequence == nil {
		if err := s.resume(ctx, newRoots(s.log, otherwise), s.said(ctx)); err != nil {
			return false, err
		}
	}
	if missing >= backlog {
		err = s.fill(ctx, heads, have, s.sequence.rules)
	} else {
		err = s.catchUp(ctx, heads, have)
	}
	if err != nil {
		s.sequence = nil // it may hold what the index does not
		return false, err
	}
	if err := s.reorder(ctx, heads); err != nil {
		return false, err
	}
	received, err := s.receive(ctx, heads)
	if err != nil {
		return false, err
	}
	return missing > 0 || received, s.keepCards(ctx)
}

// reorder puts everything in order anew when the register says something else
// of what the order rests on. That is rare: a log was closed at an earlier
// entry than was counted.
func (s *Shop) reorder(ctx context.Context, heads []journal.Head) error {
	now := s.said(ctx)
	if s.sequence.rules.equal(now) {
		return nil
	}
	s.logger.InfoContext(ctx, "the register changed what counts; everything is put in order anew")
	s.sequence = nil
	if err := s.index.Clear(ctx); err != nil {
		return err
	}
	return s.fill(ctx, heads, map[journal.DeviceID]int64{}, now)
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

// take puts entries into the index as they stand in the order, and drops the
// cases that asked what they answer.
func (s *Shop) take(ctx context.Context, batch []journal.Logged) error {
	if len(batch) == 0 {
		return nil
	}
	items := make([]index.Item, len(batch))
	decoded := make([]*record.Decoded, len(batch))
	for i, l := range batch {
		decoded[i] = record.Decode(l)
		items[i] = s.itemOf(decoded[i])
	}
	moved, err := s.sequence.add(ctx, items)
	if err != nil {
		return err
	}
	s.grown.Lock()
	defer s.grown.Unlock()
	if err := s.index.Put(ctx, items); err != nil {
		return err
	}
	for i, item := range items {
		s.mu.Lock()
		s.decoded.put(item.Position, decoded[i], len(batch[i].Bytes))
		s.mu.Unlock()
		if err := s.changes(ctx, item, decoded[i]); err != nil {
			return err
		}
	}
	if err := s.move(ctx, moved); err != nil {
		return err
	}
	if err := s.tie(ctx, items); err != nil {
		return err
	}
	return s.recount(ctx, items)
}

// tie has the summaries worked out anew of all jobs that a VIN or a plate ties
// to those that are opened.
func (s *Shop) tie(ctx context.Context, opened []index.Item) error {
	homes := make(map[journal.Subject]bool)
	for _, item := range opened {
		for _, text := range openingKeys(item.Payload) {
			tied, err := s.index.KeyedHomes(ctx, text)
			if err != nil {
				return err
			}
			for _, home := range tied {
				homes[home] = true
			}
		}
	}
	if len(homes) == 0 {
		return nil
	}
	return s.index.MarkDirty(ctx, slices.Collect(maps.Keys(homes))...)
}

// changes drops the cases that an entry changes. grown is held.
func (s *Shop) changes(ctx context.Context, item index.Item, d *record.Decoded) error {
	q, err := s.answers(ctx, item)
	if err != nil {
		return err
	}
	var as order.Standing
	if err := as.UnmarshalBinary(item.Past); err != nil {
		return err
	}
	if err := s.registerChanges(ctx, item, d, as); err != nil {
		return err
	}
	s.mu.Lock()
	s.cases.answer(q)
	s.mu.Unlock()
	return nil
}

// move has entries that were here before stand elsewhere. What counts now has
// used what it used.
func (s *Shop) move(ctx context.Context, moved []index.Placing) error {
	if len(moved) == 0 {
		return nil
	}
	if err := s.index.SetPlaces(ctx, moved); err != nil {
		return err
	}
	var items []index.Item
	for _, m := range moved {
		row, err := s.index.At(ctx, m.Position)
		if err != nil {
			return err
		}
		list, err := s.read(ctx, []index.Row{row})
		if err != nil {
			return err
		}
		for _, d := range list {
			item := s.itemOf(d)
			item.Place, item.Past, item.Waiting = m.Place, m.Past, m.Waiting
			if item.Payload != nil && !m.Waiting && !item.Void {
				if err := s.index.SetUses(ctx, m.Position, journal.Uses(item.Payload)); err != nil {
					return err
				}
			}
			if err := s.changes(ctx, item, d); err != nil {
				return err
			}
			if item.Entry != nil {
				if err := s.index.MarkDirty(ctx, row.Home); err != nil {
					return err
				}
			}
			items = append(items, item)
		}
	}
	return s.recount(ctx, items)
}

// itemOf is a decoded entry as the index takes it; how it stands is to be
// worked out.
func (s *Shop) itemOf(d *record.Decoded) index.Item {
	return index.Item{Position: d.Position(), Entry: d.Entry(), Payload: d.Payload(), Void: d.Void(s.by) != ""}
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
		places := make(map[journal.Position]uint64)
		for _, r := range rows {
			places[r.Position] = r.Place
		}
		for _, d := range of {
			target := s.itemOf(d)
			target.Place = places[d.Position()]
			q.add(answered(target))
			if now, err := journal.ParsePayload(target.Entry.Type, c.Data); err == nil && len(c.Data) > 0 {
				target.Payload = now
				q.add(answered(target))
			}
			corrections = append(corrections, s.itemOf(d))
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
		if err := s.index.SetUses(ctx, l.Position(), usesOf(l)); err != nil {
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

// fill takes in many entries: the index is filled in bulk, in an order that
// rests on r, and nothing that was folded is kept.
func (s *Shop) fill(ctx context.Context, heads []journal.Head, have map[journal.DeviceID]int64, r rules) error {
	s.grown.Lock()
	defer s.grown.Unlock()
	s.mu.Lock()
	s.cases.clear()
	s.mu.Unlock()
	s.register.forget()
	roots := newRoots(s.log, whileFilled)
	if err := s.resume(ctx, roots, r); err != nil {
		return err
	}
	s.sequence.onWay = newLately[journal.Position, order.Standing](whileFilled)
	var corrections, opened []index.Item
	var moved []index.Placing
	items := func(yield func(index.Item, error) bool) {
		for batch, err := range chunks(s.merged(ctx, heads, have), bulk) {
			var list []index.Item
			for _, l := range batch {
				roots.grow(l)
				list = append(list, s.itemOf(record.Decode(l)))
			}
			var more []index.Placing
			if err == nil {
				more, err = s.sequence.add(ctx, list)
			}
			moved = append(moved, more...)
			if err != nil {
				yield(index.Item{}, err)
				return
			}
			for _, item := range list {
				if len(have) > 0 && len(openingKeys(item.Payload)) > 0 {
					opened = append(opened, index.Item{Payload: item.Payload})
				}
				if _, ok := item.Payload.(*journal.Correction); ok {
					corrections = append(corrections, index.Item{Position: item.Position, Entry: item.Entry, Payload: item.Payload})
				}
				if !yield(item, nil) {
					return
				}
			}
		}
	}
	if err := s.index.Load(ctx, items, func(n int) { s.logger.InfoContext(ctx, "index filled", "entries", n) }); err != nil {
		return err
	}
	if err := s.move(ctx, moved); err != nil {
		return err
	}
	if err := s.tie(ctx, opened); err != nil {
		return err
	}
	if err := s.recount(ctx, corrections); err != nil {
		return err
	}
	return s.resume(ctx, newRoots(s.log, otherwise), r) // without what was only at hand for filling
}

// bulk is how many entries are put in order at a time while the index is
// filled.
const bulk = 2000

// chunks cuts a sequence into lists.
func chunks(entries iter.Seq2[journal.Logged, error], n int) iter.Seq2[[]journal.Logged, error] {
	return func(yield func([]journal.Logged, error) bool) {
		var list []journal.Logged
		for l, err := range entries {
			if err != nil {
				yield(nil, err)
				return
			}
			if list = append(list, l); len(list) == n {
				if !yield(list, nil) {
					return
				}
				list = nil
			}
		}
		if len(list) > 0 {
			yield(list, nil)
		}
	}
}

// merged yields the entries of all logs about as they were written, each log's
// in their order, so that little waits for what is still to come.
func (s *Shop) merged(ctx context.Context, heads []journal.Head, have map[journal.DeviceID]int64) iter.Seq2[journal.Logged, error] {
	type source struct {
		next func() (journal.Logged, error, bool)
		stop func()
		head journal.Logged
		id   journal.EntryID
	}
	return func(yield func(journal.Logged, error) bool) {
		var open []*source
		defer func() {
			for _, o := range open {
				o.stop()
			}
		}()
		advance := func(o *source) (more bool, err error) {
			l, err, ok := o.next()
			if !ok || err != nil {
				return false, err
			}
			o.head = l
			if e, err := journal.Decode(l.Bytes); err == nil {
				o.id = e.ID
			}
			return true, nil
		}
		for _, h := range heads {
			o := new(source)
			o.next, o.stop = iter.Pull2(s.since(ctx, h, have[h.Device]))
			more, err := advance(o)
			if err != nil {
				o.stop()
				yield(journal.Logged{}, err)
				return
			}
			if !more {
				o.stop()
				continue
			}
			open = append(open, o)
		}
		for len(open) > 0 {
			first := 0
			for i, o := range open {
				if bytes.Compare(o.id[:], open[first].id[:]) < 0 {
					first = i
				}
			}
			o := open[first]
			if !yield(o.head, nil) {
				return
			}
			more, err := advance(o)
			if err != nil {
				yield(journal.Logged{}, err)
				return
			}
			if !more {
				o.stop()
				open = append(open[:first], open[first+1:]...)
			}
		}
	}
}

// resume makes ready to work out how entries stand, in an order that rests on
// r. following is held.
func (s *Shop) resume(ctx context.Context, from Roots, r rules) error {
	var err error
	s.sequence, err = resume(ctx, s.index, from, r, func(rows []index.Row) ([]order.Entry, error) {
		list, err := s.read(ctx, rows)
		if err != nil {
			return nil, err
		}
		slices.SortFunc(list, func(a, b *record.Decoded) int { return cmp.Compare(a.Position().Index, b.Position().Index) })
		var entries []order.Entry
		for _, d := range list {
			entries = append(entries, order.Of(d.Position(), d.Entry()))
		}
		return entries, nil
	})
	return err
}

// said is what the register says that the order rests on.
func (s *Shop) said(ctx context.Context) rules {
	reg, err := s.registered(ctx)
	if err != nil {
		s.logger.ErrorContext(ctx, "read the register", "error", err)
		return rules{}
	}
	return rules{reg.Closings(), reg.Notes()}
}

// receive drops the cases with entries of which the time of receipt became
// known.
func (s *Shop) receive(ctx context.Context, heads []journal.Head) (any bool, err error) {
	for _, h := range heads {
		c, err := s.log.LastCountersigned(ctx, h.Device)
		if err != nil {
			return any, err
		}
		from, ok := s.signed[h.Device]
		to := min(c.Size, h.Size)
		s.signed[h.Device] = max(from, to)
		if !ok || from >= to { // what was folded before this start is not in memory
			continue
		}
		any = true
		if err := s.received(ctx, h.Device, from, to); err != nil {
			return any, err
		}
	}
	return any, nil
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
			as, err := standing(row)
			if err != nil {
				return err
			}
			if err := s.registerChanges(ctx, s.itemOf(d), d, as); err != nil {
				return err
			}
		}
	}
	s.mu.Lock()
	s.cases.answer(q)
	s.mu.Unlock()
	return nil
}
