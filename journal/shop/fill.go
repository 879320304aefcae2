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
