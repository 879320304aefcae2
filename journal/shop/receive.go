package shop

import (
	"context"
	"errors"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

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
		if ok && from < to { // what was folded before this start is not in memory
			any = true
			if err := s.received(ctx, h.Device, from, to); err != nil {
				return any, err
			}
		}
		s.signed[h.Device] = max(from, to)
	}
	return any, nil
}

func (s *Shop) received(ctx context.Context, device journal.DeviceID, from, to int64) error {
	s.grown.Lock()
	defer s.grown.Unlock()
	if to-from > backlog {
		s.mu.Lock()
		s.decoded.clear()
		s.mu.Unlock()
		s.dropAll()
		return nil
	}
	rows := make(map[journal.Position]index.Row)
	for i := from; i < to; i++ {
		at := journal.Position{Device: device, Index: i}
		row, err := s.index.At(ctx, at)
		if errors.Is(err, index.ErrNoEntry) {
			continue
		}
		if err != nil {
			return err
		}
		rows[at] = row
		s.mu.Lock()
		s.decoded.drop(at)
		s.mu.Unlock()
	}
	list, err := s.read(ctx, slices.Collect(maps.Values(rows)))
	if err != nil {
		return err
	}
	q := make(questions) // it may be in the record of any home that found it
	for _, d := range list {
		row, item := rows[d.Position()], s.itemOf(d)
		item.Place = row.Place
		more, err := s.answers(ctx, item)
		if err != nil {
			return err
		}
		q.add(more)
		as, err := standing(row)
		if err != nil {
			return err
		}
		if err := s.registerChanges(ctx, item, d, as); err != nil {
			return err
		}
	}
	s.mu.Lock()
	s.cases.answer(q)
	s.mu.Unlock()
	return nil
}
