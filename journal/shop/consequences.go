package shop

import (
	"context"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
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
		if err := s.recall(ctx, items); err != nil {
			return err
		}
		if err := s.rest(ctx, items); err != nil {
			return err
		}
		if err := s.prove(ctx, items); err != nil {
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

// move has entries that were here before stand elsewhere. What counts now has
// used what it used; what it corrects is to be settled. Until the places are
// set, a start after a crash finds the entries where they were.
func (s *Shop) move(ctx context.Context, moved []index.Placing) error {
	if len(moved) == 0 {
		return nil
	}
	var items []index.Item
	var decoded []*record.Decoded
	var used []index.Used
	var homes []journal.Subject
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
			if item.Payload != nil && !m.Waiting && !item.Void && item.Wrote == nil { // a quote is recounted
				used = append(used, index.Used{Position: m.Position, Uses: journal.Uses(item.Payload)})
			}
			if item.Entry != nil {
				homes = append(homes, row.Home)
				if err := s.restOn(ctx, row, min(row.Place, m.Place)); err != nil {
					return err
				}
			}
			items, decoded = append(items, item), append(decoded, d)
		}
	}
	if err := s.index.SetUses(ctx, used...); err != nil {
		return err
	}
	if err := s.index.MarkDirty(ctx, homes...); err != nil {
		return err
	}
	if err := s.index.SetPlaces(ctx, moved); err != nil {
		return err
	}
	for i, item := range items {
		if err := s.changes(ctx, item, decoded[i]); err != nil {
			return err
		}
	}
	return nil
}

// tie has the summaries worked out anew of all jobs that a VIN or a plate ties
// to those that are opened.
func (s *Shop) tie(ctx context.Context, opened []index.Item) error {
	homes := make(map[journal.Subject]bool)
	for _, item := range opened {
		for _, text := range openingKeys(says(item.Payload)) {
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

// recall has the summaries worked out anew of all jobs that used a thing of
// which something came out, or does not any more: a recall, and a check or a
// survey, if any of them found it bad.
func (s *Shop) recall(ctx context.Context, items []index.Item) error {
	for _, item := range items {
		if item.Entry == nil {
			continue
		}
		home := index.Home(item.Entry.Subject)
		switch p := item.Payload.(type) {
		case *journal.Recall:
			if err := s.recalled(ctx, home); err != nil {
				return err
			}
		case *journal.ToolCheck, *journal.Service:
			if err := s.checked(ctx, home); err != nil {
				return err
			}
		case *journal.Correction:
			id, err := s.root(ctx, p.Of)
			if err != nil {
				return err
			}
			rows, err := s.index.ByID(ctx, id)
			if err != nil {
				return err
			}
			for _, r := range rows {
				if !r.Kind.Is(journal.Judges) {
					continue
				}
				if err := s.recalled(ctx, r.Home); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// checked marks what used a tool or a machine that was ever found bad: what
// another look at it says of a use hangs on where it lies among the others.
func (s *Shop) checked(ctx context.Context, thing journal.Subject) error {
	rows, err := s.index.Entries(ctx, thing, journal.ToolChecked, journal.EquipmentServiced)
	if err != nil {
		return err
	}
	list, err := s.read(ctx, rows)
	if err != nil {
		return err
	}
	for _, d := range list {
		if facts.Bad(d.Payload()) {
			return s.recalled(ctx, thing)
		}
	}
	return nil
}

// recalled marks what used a thing: a run marks its jobs.
func (s *Shop) recalled(ctx context.Context, thing journal.Subject) error {
	rows, err := s.index.Citing(ctx, thing)
	if err != nil {
		return err
	}
	homes := make(map[journal.Subject]bool)
	for _, r := range rows {
		homes[r.Home] = true
	}
	return s.index.MarkDirty(ctx, slices.Collect(maps.Keys(homes))...)
}
