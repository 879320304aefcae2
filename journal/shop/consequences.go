package shop

import (
	"context"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

// atATime is how many entries are worked out at once.
const atATime = 500

// consequences works out what corrections and openings change elsewhere, also those
// that were taken in by a program that was cut off. grown is held.
func (s *Shop) consequences(ctx context.Context) error {
	for {
		rows, err := s.index.Unsettled(ctx, atATime)
		if err != nil || len(rows) == 0 {
			return err
		}
		decoded, err := s.read(ctx, rows)
		if err != nil {
			return err
		}
		var items []index.Item
		var at []journal.Position
		for _, d := range decoded {
			items = append(items, s.itemOf(d))
		}
		for _, r := range rows {
			at = append(at, r.Position)
		}
		if err := s.tie(ctx, items); err != nil {
			return err
		}
		if err := s.recount(ctx, items); err != nil {
			return err
		}
		if err := s.index.Settle(ctx, at...); err != nil {
			return err
		}
	}
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
