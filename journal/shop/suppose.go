package shop

import (
	"context"
	"slices"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
)

// Suppose returns the view in which a draft is written, and the id that the
// entry has in it. Nothing is written. What the entry does not touch is the
// same as in other views.
func (s *Shop) Suppose(ctx context.Context, d journal.Draft) (*View, journal.EntryID, error) {
	v, ids, err := s.SupposeAll(ctx, d)
	if err != nil {
		return nil, journal.EntryID{}, err
	}
	return v, ids[0], nil
}

// SupposeAll returns the view in which drafts are written together, in their order, and
// the ids that the entries have in it.
func (s *Shop) SupposeAll(ctx context.Context, drafts ...journal.Draft) (*View, []journal.EntryID, error) {
	if err := s.Follow(ctx); err != nil { // what is supposed comes after all that is written
		return nil, nil, err
	}
	own := &supposing{DB: s.index, shop: s, cases: make(map[journal.Subject]*Case)}
	var next []order.Entry
	for i, d := range drafts {
		logged, err := s.log.Suppose(ctx, d)
		if err != nil {
			return nil, nil, err
		}
		logged.Index += int64(i)
		if _, err := journal.Decode(logged.Bytes); err != nil {
			return nil, nil, err
		}
		one := &supposed{entry: placed{Decoded: record.Decode(logged)}}
		one.item = s.itemOf(one.entry.Decoded)
		own.entries = append(own.entries, one)
		next = append(next, order.Of(logged.Position, wrote(one.item)))
	}
	v := s.View(ctx)
	if v.err != nil {
		return nil, nil, v.err
	}
	stand, err := s.wouldStand(ctx, next)
	if err != nil {
		return nil, nil, err
	}
	var ids []journal.EntryID
	for i, one := range own.entries {
		one.entry.Standing = stand[i]
		if err := own.locate(ctx, one); err != nil {
			return nil, nil, err
		}
		ids = append(ids, one.row.ID)
	}
	uses := own.counting(s.used(context.WithoutCancel(ctx)))
	if own.register = s.register.with(own.entries, uses); own.register == nil {
		own.register = v.Shop
		if len(own.used) > 0 {
			own.counted = sync.OnceValue(func() *record.Shop { return s.register.counted(uses) })
		}
	}
	v.Shop, v.own = own.register, own
	return v, ids, nil
}

// locate finds out where a supposed entry stands in the index, what it answers, and what
// it uses.
func (o *supposing) locate(ctx context.Context, one *supposed) (err error) {
	if err = place(&one.item, one.entry.Standing); err != nil {
		return err
	}
	item := one.item
	one.row = index.Row{Position: item.Position, ID: item.Entry.ID, Home: index.Home(item.Entry.Subject),
		Kind: item.Entry.Type.Kind, By: item.Entry.By, Place: item.Place, Past: item.Past, Waiting: item.Waiting}
	twins, err := o.DB.ByID(ctx, one.row.ID)
	if err != nil {
		return err
	}
	one.row.Twin = len(twins) > 0
	if one.touched, err = o.shop.answers(ctx, item); err != nil {
		return err
	}
	return o.use(ctx, one)
}

// wouldStand is how the next entries of a log would stand.
func (s *Shop) wouldStand(ctx context.Context, next []order.Entry) ([]order.Standing, error) {
	s.following.Lock()
	defer s.following.Unlock()
	if err := s.goOn(ctx); err != nil { // another one may have failed to follow meanwhile
		return nil, err
	}
	return s.sequence.keeper.Suppose(ctx, next...)
}

// with is the register with what entries more say of it; nil if that is
// nothing.
func (r *register) with(entries []*supposed, uses record.Uses) *record.Shop {
	r.mu.Lock()
	defer r.mu.Unlock()
	var list []placed
	for _, one := range entries {
		if r.concerns(one.item) {
			list = append(list, one.entry)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return r.fold(uses, list...)
}

// counted is the register as it is, with other counts.
func (r *register) counted(uses record.Uses) *record.Shop {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.fold(uses)
}

// supposed is an entry that is not written.
type supposed struct {
	entry   placed
	item    index.Item
	row     index.Row
	touched questions
}

// supposing is the index with some entries more.
type supposing struct {
	*index.DB
	shop     *Shop
	entries  []*supposed // in the order in which they would be written
	register *record.Shop
	counted  func() *record.Shop // the register with what would be used; nil if nothing would
	cases    map[journal.Subject]*Case
	used     []used
}

// caseOf returns the case of a home: the shop's own if the entry touches
// nothing that it asked.
func (o *supposing) caseOf(ctx context.Context, home journal.Subject) (*Case, error) {
	if c, ok := o.cases[home]; ok {
		return c, nil
	}
	c, err := o.shop.Case(ctx, home)
	if err != nil {
		return nil, err
	}
	if c == nil || o.touches(c) {
		o.shop.grown.RLock()
		defer o.shop.grown.RUnlock()
		if c, err = o.shop.foldIn(ctx, home, o, o.register, o.read, o.uses); err != nil {
			return nil, err
		}
	}
	o.cases[home] = c
	return c, nil
}

func (o *supposing) touches(c *Case) bool {
	o.shop.mu.Lock()
	defer o.shop.mu.Unlock()
	for _, one := range o.entries {
		for what, place := range one.touched {
			if c.asked.touches(what, place) {
				return true
			}
		}
	}
	return false
}

// more adds the supposed entries to an answer that they change.
func (o *supposing) more(rows []index.Row, err error, what question) ([]index.Row, error) {
	return o.those(rows, err, func(one *supposed) bool { _, ok := one.touched[what]; return ok })
}

// those adds the supposed entries of a kind to an answer.
func (o *supposing) those(rows []index.Row, err error, wanted func(*supposed) bool) ([]index.Row, error) {
	rows = slices.Clip(o.alike(rows))
	for _, one := range o.entries {
		if err == nil && wanted(one) {
			rows = append(rows, one.row)
		}
	}
	return rows, err
}

// alike says of entries with the id of a supposed one that another has it.
func (o *supposing) alike(rows []index.Row) []index.Row {
	for _, one := range o.entries {
		if !one.row.Twin {
			continue
		}
		rows = slices.Clone(rows)
		for i := range rows {
			rows[i].Twin = rows[i].Twin || rows[i].ID == one.row.ID
		}
	}
	return rows
}

// Entries implements [Finder]. A correction from elsewhere is listed too: it
// has to do with entries of the home.
func (o *supposing) Entries(ctx context.Context, home journal.Subject, kinds ...journal.Kind) ([]index.Row, error) {
	rows, err := o.DB.Entries(ctx, home, kinds...)
	return o.more(rows, err, inHome(home))
}

// Whole implements [Finder].
func (o *supposing) Whole(ctx context.Context, homes ...journal.Subject) ([]index.Row, error) {
	rows, err := o.DB.Whole(ctx, homes...)
	return o.those(rows, err, func(one *supposed) bool {
		return slices.ContainsFunc(homes, func(home journal.Subject) bool { _, ok := one.touched[inHome(home)]; return ok })
	})
}

// Citing implements [Finder].
func (o *supposing) Citing(ctx context.Context, thing journal.Subject) ([]index.Row, error) {
	rows, err := o.DB.Citing(ctx, thing)
	return o.more(rows, err, citing(thing))
}

// Amending implements [Finder].
func (o *supposing) Amending(ctx context.Context, kind journal.Kind, things []journal.Subject) ([]index.Row, error) {
	rows, err := o.DB.Amending(ctx, kind, things)
	return o.those(rows, err, func(one *supposed) bool {
		return one.row.Kind == kind && slices.ContainsFunc(things, func(s journal.Subject) bool { _, ok := one.touched[citing(s)]; return ok })
	})
}

// Spell implements [Finder].
func (o *supposing) Spell(ctx context.Context, home journal.Subject, kind journal.Kind, after, upto uint64) ([]index.Row, error) {
	rows, err := o.DB.Spell(ctx, home, kind, after, upto)
	return o.those(rows, err, func(one *supposed) bool {
		_, ok := one.touched[clockOf(home)]
		return ok && kind == one.row.Kind && one.row.Place <= upto
	})
}

// Keyed implements [Finder].
func (o *supposing) Keyed(ctx context.Context, text string) ([]index.Row, error) {
	rows, err := o.DB.Keyed(ctx, text)
	return o.more(rows, err, keyed(text))
}

// KeyedHomes implements [Finder].
func (o *supposing) KeyedHomes(ctx context.Context, text string) ([]journal.Subject, error) {
	homes, err := o.DB.KeyedHomes(ctx, text)
	for _, one := range o.entries {
		if _, ok := one.touched[keyed(index.Squash(text))]; !ok || err != nil {
			continue
		}
		for what := range one.touched {
			if home, ok := what.home(); ok && !slices.Contains(homes, home) {
				homes = append(homes, home)
			}
		}
	}
	return homes, err
}

// ByID implements [Finder].
func (o *supposing) ByID(ctx context.Context, id journal.EntryID) ([]index.Row, error) {
	rows, err := o.DB.ByID(ctx, id)
	return o.those(rows, err, func(one *supposed) bool { return one.row.ID == id })
}

func (o *supposing) read(ctx context.Context, rows []index.Row) ([]*record.Decoded, error) {
	var own []*record.Decoded
	others := slices.DeleteFunc(slices.Clone(rows), func(r index.Row) bool {
		i := slices.IndexFunc(o.entries, func(one *supposed) bool { return one.row.Position == r.Position })
		if i >= 0 {
			own = append(own, o.entries[i].entry.Decoded)
		}
		return i >= 0
	})
	list, err := o.shop.read(ctx, others)
	return append(list, own...), err
}

// used is how much more or less a thing was used at a place.
type used struct {
	of    journal.Subject
	place uint64
	times int
}

// use works out what the entry would use, or what it would change in what
// others used: those that it corrects, or that have its id.
func (o *supposing) use(ctx context.Context, one *supposed) error {
	if one.item.Entry == nil || one.item.Payload == nil {
		return nil
	}
	root := one.item.Entry.ID
	if c, ok := one.item.Payload.(*journal.Correction); ok {
		var err error
		if root, err = o.shop.root(ctx, c.Of); err != nil {
			return err
		}
	} else if twins, err := o.DB.ByID(ctx, root); err != nil || len(twins) == 0 && one.item.Wrote == nil {
		if err == nil && !one.item.Void {
			o.count(one.item.Place, journal.Uses(one.item.Payload), 1)
		}
		return err
	}
	was, _, err := o.shop.corrected(ctx, root, nil, true)
	if err != nil {
		return err
	}
	is, _, err := o.shop.corrected(ctx, root, &one.entry, true)
	for _, l := range was {
		o.count(l.Place(), usesOf(l), -1)
	}
	for _, l := range is {
		o.count(l.Place(), usesOf(l), 1)
	}
	return err
}

func (o *supposing) count(place uint64, uses []journal.Use, sign int) {
	for _, u := range uses {
		o.used = append(o.used, used{u.Of, place, sign * u.Times})
	}
}

// uses counts with what is supposed.
func (o *supposing) uses(ctx context.Context, c *Case) record.Uses {
	return o.counting(o.shop.uses(ctx, c))
}

// counting adds what is supposed to a count.
func (o *supposing) counting(count record.Uses) record.Uses {
	return func(of journal.Subject, after, upTo uint64) int {
		n := count(of, after, upTo)
		for _, u := range o.used {
			if u.of == of && u.place > after && u.place <= upTo {
				n += u.times
			}
		}
		return n
	}
}
