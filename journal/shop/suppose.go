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
	if err := s.Follow(ctx); err != nil { // what is supposed comes after all that is written
		return nil, journal.EntryID{}, err
	}
	logged, err := s.log.Suppose(ctx, d)
	if err != nil {
		return nil, journal.EntryID{}, err
	}
	if _, err := journal.Decode(logged.Bytes); err != nil {
		return nil, journal.EntryID{}, err
	}
	v := s.View(ctx)
	if v.err != nil {
		return nil, journal.EntryID{}, v.err
	}
	own := &supposing{DB: s.index, shop: s, entry: placed{Decoded: record.Decode(logged)}, cases: make(map[journal.Subject]*Case)}
	own.item = s.itemOf(own.entry.Decoded)
	if own.entry.Standing, err = s.wouldStand(ctx, order.Of(logged.Position, wrote(own.item))); err != nil {
		return nil, journal.EntryID{}, err
	}
	if err := place(&own.item, own.entry.Standing); err != nil {
		return nil, journal.EntryID{}, err
	}
	own.row = index.Row{Position: own.item.Position, ID: own.item.Entry.ID, Home: index.Home(own.item.Entry.Subject),
		Kind: own.item.Entry.Type.Kind, By: own.item.Entry.By, Place: own.item.Place, Past: own.item.Past, Waiting: own.item.Waiting}
	twins, err := s.index.ByID(ctx, own.row.ID)
	if err != nil {
		return nil, journal.EntryID{}, err
	}
	own.row.Twin = len(twins) > 0
	if own.touched, err = s.answers(ctx, own.item); err != nil {
		return nil, journal.EntryID{}, err
	}
	if err := own.use(ctx); err != nil {
		return nil, journal.EntryID{}, err
	}
	uses := own.counting(s.used(context.WithoutCancel(ctx)))
	if own.register = s.register.with(own.item, &own.entry, uses); own.register == nil {
		own.register = v.Shop
		if len(own.used) > 0 {
			own.counted = sync.OnceValue(func() *record.Shop { return s.register.counted(uses) })
		}
	}
	v.Shop, v.own = own.register, own
	return v, own.row.ID, nil
}

// wouldStand is how the next entry of a log would stand.
func (s *Shop) wouldStand(ctx context.Context, e order.Entry) (order.Standing, error) {
	s.following.Lock()
	defer s.following.Unlock()
	if err := s.goOn(ctx); err != nil { // another one may have failed to follow meanwhile
		return order.Standing{}, err
	}
	return s.sequence.keeper.Suppose(ctx, e)
}

// with is the register with what an entry more says of it; nil if that is
// nothing.
func (r *register) with(item index.Item, d *placed, uses record.Uses) *record.Shop {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.concerns(item) {
		return nil
	}
	return r.fold(d, uses)
}

// counted is the register as it is, with other counts.
func (r *register) counted(uses record.Uses) *record.Shop {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.fold(nil, uses)
}

// supposing is the index with one entry more.
type supposing struct {
	*index.DB
	shop     *Shop
	entry    placed
	item     index.Item
	row      index.Row
	touched  questions
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
	for what, place := range o.touched {
		if c.asked.touches(what, place) {
			return true
		}
	}
	return false
}

// more adds the supposed entry to an answer that it changes.
func (o *supposing) more(rows []index.Row, err error, what question) ([]index.Row, error) {
	rows = o.alike(rows)
	if _, ok := o.touched[what]; !ok || err != nil {
		return rows, err
	}
	return append(slices.Clip(rows), o.row), nil
}

// alike says of entries with the id of the supposed one that another has it.
func (o *supposing) alike(rows []index.Row) []index.Row {
	if !o.row.Twin {
		return rows
	}
	rows = slices.Clone(rows)
	for i := range rows {
		rows[i].Twin = rows[i].Twin || rows[i].ID == o.row.ID
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
	rows = o.alike(rows)
	for _, home := range homes {
		if _, ok := o.touched[inHome(home)]; ok && err == nil {
			return append(slices.Clip(rows), o.row), nil
		}
	}
	return rows, err
}

// Citing implements [Finder].
func (o *supposing) Citing(ctx context.Context, thing journal.Subject) ([]index.Row, error) {
	rows, err := o.DB.Citing(ctx, thing)
	return o.more(rows, err, citing(thing))
}

// Amending implements [Finder].
func (o *supposing) Amending(ctx context.Context, kind journal.Kind, things []journal.Subject) ([]index.Row, error) {
	rows, err := o.DB.Amending(ctx, kind, things)
	rows = o.alike(rows)
	for _, s := range things {
		if _, ok := o.touched[citing(s)]; ok && o.row.Kind == kind && err == nil {
			return append(slices.Clip(rows), o.row), nil
		}
	}
	return rows, err
}

// Spell implements [Finder].
func (o *supposing) Spell(ctx context.Context, home journal.Subject, kind journal.Kind, after, upto uint64) ([]index.Row, error) {
	rows, err := o.DB.Spell(ctx, home, kind, after, upto)
	if kind != o.row.Kind || o.row.Place > upto {
		return o.alike(rows), err
	}
	return o.more(rows, err, clockOf(home))
}

// Keyed implements [Finder].
func (o *supposing) Keyed(ctx context.Context, text string) ([]index.Row, error) {
	rows, err := o.DB.Keyed(ctx, text)
	return o.more(rows, err, keyed(text))
}

// KeyedHomes implements [Finder].
func (o *supposing) KeyedHomes(ctx context.Context, text string) ([]journal.Subject, error) {
	homes, err := o.DB.KeyedHomes(ctx, text)
	if _, ok := o.touched[keyed(index.Squash(text))]; !ok || err != nil {
		return homes, err
	}
	for what := range o.touched {
		if home, ok := what.home(); ok && !slices.Contains(homes, home) {
			homes = append(homes, home)
		}
	}
	return homes, nil
}

// ByID implements [Finder].
func (o *supposing) ByID(ctx context.Context, id journal.EntryID) ([]index.Row, error) {
	rows, err := o.DB.ByID(ctx, id)
	if err != nil || id != o.row.ID {
		return rows, err
	}
	return append(o.alike(rows), o.row), nil
}

func (o *supposing) read(ctx context.Context, rows []index.Row) ([]*record.Decoded, error) {
	others := slices.DeleteFunc(slices.Clone(rows), func(r index.Row) bool { return r.Position == o.row.Position })
	list, err := o.shop.read(ctx, others)
	if len(others) < len(rows) {
		list = append(list, o.entry.Decoded)
	}
	return list, err
}

// used is how much more or less a thing was used at a place.
type used struct {
	of    journal.Subject
	place uint64
	times int
}

// use works out what the entry would use, or what it would change in what
// others used: those that it corrects, or that have its id.
func (o *supposing) use(ctx context.Context) error {
	if o.item.Entry == nil || o.item.Payload == nil {
		return nil
	}
	root := o.item.Entry.ID
	if c, ok := o.item.Payload.(*journal.Correction); ok {
		var err error
		if root, err = o.shop.root(ctx, c.Of); err != nil {
			return err
		}
	} else if twins, err := o.DB.ByID(ctx, root); err != nil || len(twins) == 0 && o.item.Wrote == nil {
		if err == nil && !o.item.Void {
			o.count(o.item.Place, journal.Uses(o.item.Payload), 1)
		}
		return err
	}
	was, _, err := o.shop.corrected(ctx, root, nil, true)
	if err != nil {
		return err
	}
	is, _, err := o.shop.corrected(ctx, root, &o.entry, true)
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
