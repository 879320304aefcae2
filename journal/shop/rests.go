package shop

import (
	"context"
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

// rest has the rows of all jobs worked out anew that rest on what is said of a
// thing: of a lot those of its powder, of a machine those of work after its
// service, of a person those of whoever sprayed by that name.
func (s *Shop) rest(ctx context.Context, items []index.Item) error {
	seen := make(map[journal.Position]bool)
	for _, item := range items {
		if item.Entry == nil {
			continue
		}
		rows, err := s.meant(ctx, item.Entry.ID)
		if err != nil {
			return err
		}
		for _, r := range rows {
			if seen[r.Position] {
				continue
			}
			seen[r.Position] = true
			if err := s.restOn(ctx, r, r.Place); err != nil {
				return err
			}
		}
	}
	return nil
}

// meant lists the entries with an id, and what they correct in the end.
func (s *Shop) meant(ctx context.Context, id journal.EntryID) (rows []index.Row, err error) {
	of, err := s.root(ctx, id)
	if err != nil {
		return nil, err
	}
	for _, one := range slices.Compact([]journal.EntryID{id, of}) {
		more, err := s.index.ByID(ctx, one)
		if err != nil {
			return nil, err
		}
		rows = append(rows, more...)
	}
	return rows, nil
}

// restOn marks the homes with rows that rest on an entry of the register that
// stands at a place, or stood there.
func (s *Shop) restOn(ctx context.Context, r index.Row, place uint64) error {
	var rows []index.Row
	var err error
	switch r.Home.Word() {
	case "lot":
		rows, err = s.index.Citing(ctx, r.Home)
	case "tool":
		rows, err = s.servedBy(ctx, r, place)
	case "person":
		if r.Kind == journal.PersonAdded {
			rows, err = s.index.KindAfter(ctx, journal.PowderApplied, 0)
			rows = slices.DeleteFunc(rows, func(p index.Row) bool { return journal.Of("person", string(p.By)) != r.Home })
		}
	}
	if err != nil {
		return err
	}
	homes := make(map[journal.Subject]bool)
	for _, r := range rows {
		homes[r.Home] = true
	}
	return s.index.MarkResting(ctx, slices.Collect(maps.Keys(homes))...)
}

// servedBy lists the work that a service of a machine counts for: blasting in the
// cabinet, and all powder, as dryers and filters are those of the whole shop. Of
// what else is said of the machine it is that of its first service.
func (s *Shop) servedBy(ctx context.Context, r index.Row, place uint64) ([]index.Row, error) {
	if r.Kind != journal.EquipmentServiced && r.Kind != journal.ToolRegistered {
		return nil, nil
	}
	services, err := s.index.Entries(ctx, r.Home, journal.EquipmentServiced)
	if err != nil || len(services) == 0 {
		return nil, err
	}
	if r.Kind == journal.ToolRegistered {
		place = services[0].Place
	}
	powdered, err := s.index.KindAfter(ctx, journal.PowderApplied, place)
	if err != nil {
		return nil, err
	}
	citing, err := s.index.Citing(ctx, r.Home)
	if err != nil {
		return nil, err
	}
	blasted := slices.DeleteFunc(citing, func(b index.Row) bool {
		return b.Kind != journal.EntryCorrected && (b.Kind != journal.PartBlasted || b.Place < place)
	})
	return append(powdered, blasted...), nil
}

// others are the homes of jobs whose rows may rest on those of a home: the other
// lives of its castings, and whatever its own entries cite, as a rack does. The
// rows of a case's job are worked out from no more than it asked for.
func (s *Shop) others(ctx context.Context, home journal.Subject, c *Case) ([]journal.Subject, error) {
	homes := make(map[journal.Subject]bool)
	if c != nil {
		s.mu.Lock()
		for q := range c.asked {
			if thing, ok := strings.CutPrefix(string(q), string(citing(""))); ok {
				homes[index.Home(journal.Subject(thing))] = true
			}
		}
		s.mu.Unlock()
	}
	rows, err := s.index.Entries(ctx, home)
	if err != nil {
		return nil, err
	}
	astray, err := s.index.Astray(ctx, home)
	if err != nil {
		return nil, err
	}
	items, err := s.itemsOf(ctx, append(rows, astray...))
	if err != nil {
		return nil, err
	}
	for _, item := range items {
		for _, cited := range item.Cites() {
			homes[index.Home(cited)] = true
		}
		if c, ok := item.Payload.(*journal.Correction); ok {
			instead, err := s.instead(ctx, c)
			if err != nil {
				return nil, err
			}
			for _, cited := range instead {
				homes[index.Home(cited)] = true
			}
		}
	}
	delete(homes, home)
	maps.DeleteFunc(homes, func(h journal.Subject, _ bool) bool { return h.Job() == "" })
	return slices.Collect(maps.Keys(homes)), nil
}

// instead is what the replacement of a correction cites.
func (s *Shop) instead(ctx context.Context, c *journal.Correction) (cites []journal.Subject, err error) {
	if len(c.Data) == 0 {
		return nil, nil
	}
	rows, err := s.index.ByID(ctx, c.Of)
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		if p, err := journal.ParseReplacement(journal.Type{Kind: r.Kind, Version: r.Kind.Version()}, c.Data); err == nil {
			cites = append(cites, journal.Cites(p)...)
		}
	}
	return cites, nil
}
