package shop

import (
	"cmp"
	"context"
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
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
	if err != nil {
		s.sequence = nil // it may hold what the index does not
		if grown {
			s.tell()
		}
		return err
	}
	if before, _ := s.Now(); grown || before == 0 {
		s.tell()
	}
	return nil
}

// readAhead reads the cards that jobs are opened with now. Only who serves does:
// a command that writes down a wrench never looks at one.
func (s *Shop) readAhead(ctx context.Context) error {
	reg, err := s.registered(ctx)
	if err == nil {
		route.Read(s.shelf, reg)
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
	if err := s.goOn(ctx); err != nil {
		return false, err
	}
	if err := s.keepCards(ctx); err != nil { // before an entry is seen that goes with one
		return false, err
	}
	if missing >= backlog {
		err = s.fill(ctx, heads, have)
	} else {
		err = s.catchUp(ctx, heads, have)
	}
	if err != nil {
		return false, err
	}
	anew, err := s.reorder(ctx, heads)
	if err != nil {
		return false, err
	}
	received, err := s.receive(ctx, heads)
	if err != nil {
		return anew, err
	}
	return missing > 0 || anew || received, s.keepCards(ctx) // of an index that was made anew
}

// goOn goes on from what the index holds, if that is to be found out, and ends
// what was cut off after entries were taken in: what waited and need not wait
// any more, and what others change. following is held.
func (s *Shop) goOn(ctx context.Context) (err error) {
	if s.sequence != nil {
		return nil
	}
	defer func() {
		if err != nil {
			s.sequence = nil // it is ahead of the index
		}
	}()
	if err := s.resume(ctx, newRoots(s.log, otherwise), s.said(ctx)); err != nil {
		return err
	}
	moved, err := s.sequence.add(ctx, nil)
	if err != nil {
		return err
	}
	s.grown.Lock()
	defer s.grown.Unlock()
	if err := s.move(ctx, moved); err != nil {
		s.dropAll() // some may stand elsewhere now
		return err
	}
	return s.consequences(ctx)
}

// reorder puts everything in order anew when the register says something else
// of what the order rests on. That is rare: a log was closed at an earlier
// entry than was counted. It reports whether the index was filled anew, here or
// by what was begun before and cut off; whoever looks from then on sees it whole.
func (s *Shop) reorder(ctx context.Context, heads []journal.Head) (anew bool, err error) {
	now := s.said(ctx)
	if s.sequence.rules.equal(now) {
		return s.begunAnew(false), nil
	}
	s.logger.DebugContext(ctx, "the register has changed what counts; everything is being put in order again")
	s.grown.Lock()
	defer s.grown.Unlock()
	s.begunAnew(true)
	s.parts.forget()
	if err := s.index.Clear(ctx); err != nil {
		return false, err
	}
	if err := s.load(ctx, heads, map[journal.DeviceID]int64{}, now); err != nil {
		return false, err
	}
	return s.begunAnew(false), nil
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
	if err := s.taken(ctx, batch, items, decoded, moved); err != nil {
		s.dropAll() // what of it they had seen nobody finds out again
		return err
	}
	return nil
}

// taken drops the cases that entries of the index change, and works out what
// else they do. grown is held.
func (s *Shop) taken(ctx context.Context, batch []journal.Logged, items []index.Item, decoded []*record.Decoded, moved []index.Placing) error {
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
	return s.consequences(ctx)
}

// dropAll drops all cases, and the register. grown is held.
func (s *Shop) dropAll() {
	s.mu.Lock()
	s.cases.clear()
	s.mu.Unlock()
	s.register.forget()
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

// itemOf is a decoded entry as the index takes it; how it stands is to be
// worked out.
func (s *Shop) itemOf(d *record.Decoded) index.Item {
	item := index.Item{Position: d.Position(), Entry: d.Entry(), Payload: d.Payload(), Void: d.Uncounted(s.by) != ""}
	if d.Quotes() {
		item.Wrote = d.Wrote()
	}
	return item
}

// answers lists the questions that an entry answers anew. A correction answers
// those of what it corrects, with what was written and with what stands
// instead; and what was corrected before it came, those of its corrections.
func (s *Shop) answers(ctx context.Context, item index.Item) (questions, error) {
	q := answered(item)
	if item.Entry == nil {
		return q, nil
	}
	twins, err := s.index.ByID(ctx, item.Entry.ID)
	if err != nil {
		return nil, err
	}
	others := slices.DeleteFunc(twins, func(r index.Row) bool { return r.Position == item.Position })
	list, err := s.read(ctx, others)
	if err != nil {
		return nil, err
	}
	for _, d := range list {
		q.add(answered(s.itemOf(d))) // wherever it stands
	}
	before, err := s.corrections(ctx, item.Entry.ID)
	if err != nil {
		return nil, err
	}
	work, err := s.itemsOf(ctx, before)
	if err != nil {
		return nil, err
	}
	type correction struct {
		of   journal.EntryID
		data string
	}
	seen := make(map[correction]bool)
	for work = append(work, item); len(work) > 0; work = work[1:] {
		c, ok := work[0].Payload.(*journal.Correction)
		if !ok || seen[correction{c.Of, string(c.Data)}] {
			continue
		}
		seen[correction{c.Of, string(c.Data)}] = true
		rows, err := s.index.ByID(ctx, c.Of)
		if err != nil {
			return nil, err
		}
		of, err := s.itemsOf(ctx, rows)
		if err != nil {
			return nil, err
		}
		for _, target := range of {
			work = append(work, target)
			q.add(answered(target))
			if now, err := journal.ParseReplacement(target.Entry.Type, c.Data); err == nil && len(c.Data) > 0 {
				target.Payload = now
				work = append(work, target)
				q.add(answered(target))
			}
		}
	}
	return q, nil
}

// itemsOf returns entries of the index as it takes them, with their places.
func (s *Shop) itemsOf(ctx context.Context, rows []index.Row) ([]index.Item, error) {
	list, err := s.read(ctx, rows)
	if err != nil {
		return nil, err
	}
	places := make(map[journal.Position]uint64)
	for _, r := range rows {
		places[r.Position] = r.Place
	}
	var items []index.Item
	for _, d := range list {
		item := s.itemOf(d)
		item.Place = places[item.Position]
		items = append(items, item)
	}
	return items, nil
}

// add takes over questions. Of two places the earlier matters to more.
func (q questions) add(more questions) {
	for what, place := range more {
		if at, ok := q[what]; !ok || place < at {
			q[what] = place
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
			entries = append(entries, order.Of(d.Position(), d.Wrote()))
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
	return rulesOf(reg)
}
