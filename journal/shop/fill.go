package shop

import (
	"bytes"
	"context"
	"iter"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// fill takes in many entries in the order that is known to hold, or, by an
// empty index, in the one that the hub's log foretells.
func (s *Shop) fill(ctx context.Context, heads []journal.Head, have map[journal.DeviceID]int64) error {
	r := s.sequence.rules
	if len(have) == 0 {
		var err error
		if r, err = s.foretold(ctx, heads); err != nil {
			return err
		}
	}
	s.grown.Lock()
	defer s.grown.Unlock()
	return s.load(ctx, heads, have, r)
}

// foretold is what the hub's log says that the order rests on, before anything
// of it is indexed: otherwise a shop that ever closed a log would be filled by
// one order, and then all over again by another.
func (s *Shop) foretold(ctx context.Context, heads []journal.Head) (rules, error) {
	book := record.NewBook(s.by)
	for _, h := range heads {
		if h.Device != s.by.Hub {
			continue
		}
		for l, err := range s.since(ctx, h, 0) {
			if err != nil {
				return rules{}, err
			}
			if e, err := journal.Decode(l.Bytes); err == nil && foretells(e.Type.Kind) {
				book.Take(record.Decode(l), order.Standing{})
			}
		}
	}
	return rulesOf(book.Shop()), nil
}

// foretells reports whether entries of a kind say what the order rests on.
func foretells(k journal.Kind) bool {
	return k == journal.LogsClosed || k == journal.LogsParted || k == journal.LogsNoted
}

// load takes in many entries: the index is filled in bulk, in an order that
// rests on r, and nothing that was folded is kept. grown is held.
func (s *Shop) load(ctx context.Context, heads []journal.Head, have map[journal.DeviceID]int64, r rules) error {
	s.dropAll()
	roots := newRoots(s.log, whileFilled)
	if err := s.resume(ctx, roots, r); err != nil {
		return err
	}
	s.sequence.onWay = newLately[journal.Position, order.Standing](whileFilled)
	var moved []index.Placing
	items := func(yield func(index.Item, error) bool) {
		for batch, err := range chunks(s.merged(ctx, roots, heads, have), bulk) {
			var list []index.Item
			for _, d := range batch {
				list = append(list, s.itemOf(d))
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
				if !yield(item, nil) {
					return
				}
			}
		}
	}
	now := before(heads, have)
	s.filled(now)
	if err := s.index.Load(ctx, items, func(n int) {
		f := Filling{now.Held + int64(n), now.Of}
		s.logger.DebugContext(ctx, "index filled", "entries", f.Held, "of", f.Of)
		s.filled(f)
	}); err != nil {
		return err
	}
	if err := s.move(ctx, moved); err != nil {
		return err
	}
	if err := s.consequences(ctx); err != nil {
		return err
	}
	return s.resume(ctx, newRoots(s.log, otherwise), r) // without what was only at hand for filling
}

// before is how far the index is filled when a fill begins.
func before(heads []journal.Head, have map[journal.DeviceID]int64) (f Filling) {
	for _, h := range heads {
		f.Held, f.Of = f.Held+have[h.Device], f.Of+h.Size
	}
	return f
}

// bulk is how many entries are put in order at a time while the index is
// filled.
const bulk = 500

// chunks cuts a sequence into lists.
func chunks(entries iter.Seq2[*record.Decoded, error], n int) iter.Seq2[[]*record.Decoded, error] {
	return func(yield func([]*record.Decoded, error) bool) {
		var list []*record.Decoded
		for d, err := range entries {
			if err != nil {
				yield(nil, err)
				return
			}
			if list = append(list, d); len(list) == n {
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
// in their order, so that little waits for what is still to come. What it
// yields the roots have grown by.
func (s *Shop) merged(ctx context.Context, roots *roots, heads []journal.Head, have map[journal.DeviceID]int64) iter.Seq2[*record.Decoded, error] {
	type source struct {
		next func() (journal.Logged, error, bool)
		stop func()
		head *record.Decoded
		id   journal.EntryID
	}
	return func(yield func(*record.Decoded, error) bool) {
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
			roots.grow(l)
			o.head = record.Decode(l)
			if e := o.head.Entry(); e != nil {
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
				yield(nil, err)
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
				yield(nil, err)
				return
			}
			if !more {
				o.stop()
				open = append(open[:first], open[first+1:]...)
			}
		}
	}
}
