package shop

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
)

// Roots answers what the root of a log's first entries is.
type Roots interface {
	RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error)
}

// sequence works out how entries stand in the order, going on from what the
// index holds.
type sequence struct {
	keeper *order.Keeper
	index  *index.DB
	kept   map[journal.Position]order.Standing       // worked out, and not in the index yet
	waits  map[journal.Position]order.Standing       // of what counts for nothing yet
	onWay  *lately[journal.Position, order.Standing] // handed on and perhaps not in the index yet; nil where the index has all
	rules  rules
}

// rules are the words of the register on which the order rests.
type rules struct{ closings, partings, notes map[journal.DeviceID]int64 }

func rulesOf(reg *record.Shop) rules { return rules{reg.Closings(), reg.Partings(), reg.Notes()} }

func (r rules) equal(o rules) bool {
	return maps.Equal(r.closings, o.closings) && maps.Equal(r.partings, o.partings) && maps.Equal(r.notes, o.notes)
}

// resume goes on from the index. What waited there waits again until what it
// waits for is here.
func resume(ctx context.Context, idx *index.DB, roots Roots, r rules, read func([]index.Row) ([]order.Entry, error)) (*sequence, error) {
	q := &sequence{index: idx, kept: make(map[journal.Position]order.Standing), waits: make(map[journal.Position]order.Standing), rules: r}
	q.keeper = order.New(roots, q)
	for d, n := range r.closings {
		q.keeper.Close(d, n)
	}
	for d, n := range r.partings {
		q.keeper.Part(d, n)
	}
	for d, n := range r.notes {
		if _, err := q.keeper.Note(ctx, d, n); err != nil {
			return nil, err
		}
	}
	marks, err := idx.Marks(ctx)
	if err != nil {
		return nil, err
	}
	waiting, err := idx.Waiting(ctx)
	if err != nil {
		return nil, err
	}
	first := make(map[journal.DeviceID]int64)
	for _, w := range slices.Backward(waiting) {
		first[w.Device] = w.Index
		if q.waits[w.Position], err = standing(w); err != nil {
			return nil, err
		}
	}
	for _, m := range marks {
		worked := m.Size
		if n, ok := first[m.Device]; ok {
			worked = n
		}
		q.keeper.Resume(m.Device, worked)
	}
	entries, err := read(waiting)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if err := q.keeper.Add(e); err != nil {
			return nil, err
		}
	}
	for d := range first {
		if err := q.keeper.Grow(ctx, d); err != nil {
			return nil, err
		}
	}
	return q, nil
}

// standing is how a row stands in the order.
func standing(r index.Row) (order.Standing, error) {
	var s order.Standing
	if err := s.UnmarshalBinary(r.Past); err != nil {
		return s, fmt.Errorf("entry %d of %s: %w", r.Index, r.Device, err)
	}
	return s, nil
}

// Standing implements [order.Store].
func (q *sequence) Standing(ctx context.Context, at journal.Position) (order.Standing, error) {
	if s, ok := q.kept[at]; ok {
		return s, nil
	}
	if q.onWay != nil {
		if s, ok := q.onWay.at[at]; ok {
			return s, nil
		}
	}
	r, err := q.index.At(ctx, at)
	if err != nil {
		return order.Standing{}, err
	}
	return standing(r)
}

// Keep implements [order.Store].
func (q *sequence) Keep(_ context.Context, at journal.Position, s order.Standing) error {
	q.kept[at] = s
	delete(q.waits, at)
	return nil
}

// add takes in the next entries of logs, and works out how they and those that
// waited stand. It returns how entries stand that were here before.
func (q *sequence) add(ctx context.Context, items []index.Item) ([]index.Placing, error) {
	grown := make(map[journal.DeviceID]bool)
	for _, item := range items {
		if err := q.keeper.Add(order.Of(item.Position, wrote(item))); err != nil {
			return nil, err
		}
		grown[item.Device] = true
	}
	for _, d := range slices.Sorted(maps.Keys(grown)) {
		if err := q.keeper.Grow(ctx, d); err != nil {
			return nil, err
		}
	}
	now, err := q.waiting(ctx)
	if err != nil {
		return nil, err
	}
	for i := range items {
		s, counts := q.kept[items[i].Position]
		if !counts {
			s = now[items[i].Position]
		}
		if err := place(&items[i], s); err != nil {
			return nil, err
		}
		delete(q.kept, items[i].Position)
		if q.onWay != nil {
			q.onWay.put(items[i].Position, s)
		}
	}
	moved, err := q.moved(now, items)
	q.waits = now
	clear(q.kept)
	return moved, err
}

// wrote is an item's entry as it lies in its log.
func wrote(item index.Item) *journal.Entry {
	if item.Wrote != nil {
		return item.Wrote
	}
	return item.Entry
}

// waiting is how everything stands that counts for nothing yet.
func (q *sequence) waiting(ctx context.Context) (map[journal.Position]order.Standing, error) {
	now := make(map[journal.Position]order.Standing)
	for _, d := range q.keeper.Devices() {
		list, err := q.keeper.Waiting(ctx, d)
		if err != nil {
			return nil, err
		}
		for _, w := range list {
			now[w.Position] = w.Standing
		}
	}
	return now, nil
}

// moved lists what was here before and stands elsewhere now: what waits no
// more, and what waits for something else.
func (q *sequence) moved(now map[journal.Position]order.Standing, items []index.Item) ([]index.Placing, error) {
	mine := make(map[journal.Position]bool)
	for _, item := range items {
		mine[item.Position] = true
	}
	var list []index.Placing
	add := func(at journal.Position, s order.Standing) error {
		past, err := s.MarshalBinary()
		list = append(list, index.Placing{Position: at, Place: s.Place, Past: past, Waiting: s.Wait != nil})
		return err
	}
	for at, s := range q.kept {
		if err := add(at, s); err != nil {
			return nil, err
		}
	}
	for at, s := range now {
		if was, ok := q.waits[at]; !mine[at] && (!ok || was.Wait == nil || *was.Wait != *s.Wait || was.Place != s.Place) {
			if err := add(at, s); err != nil {
				return nil, err
			}
		}
	}
	return list, nil
}

// place tells the index how an item stands.
func place(item *index.Item, s order.Standing) error {
	var err error
	item.Place, item.Waiting = s.Place, s.Wait != nil
	item.Past, err = s.MarshalBinary()
	return err
}

// roots remembers the roots of logs that were asked for, and of logs that are
// read from their beginning.
type roots struct {
	Roots
	trees map[journal.DeviceID]*proof.Tree
	known *lately[rootAt, [32]byte]
}

type rootAt struct {
	device journal.DeviceID
	size   int64
}

// How much is at hand of what was put last: while the index is filled, more
// than a load of it holds that is not written yet.
const (
	whileFilled = 1 << 14
	otherwise   = 1 << 8
)

// lately keeps what was put last.
type lately[K comparable, V any] struct {
	most  int
	at    map[K]V
	order []K
}

func newLately[K comparable, V any](most int) *lately[K, V] {
	return &lately[K, V]{most: most, at: make(map[K]V)}
}

func (l *lately[K, V]) put(key K, value V) {
	l.at[key] = value
	if l.order = append(l.order, key); len(l.order) > l.most {
		delete(l.at, l.order[0])
		l.order = l.order[1:]
	}
}

func newRoots(of Roots, most int) *roots {
	return &roots{Roots: of, trees: make(map[journal.DeviceID]*proof.Tree), known: newLately[rootAt, [32]byte](most)}
}

// grow notes the root behind the next entry of a log.
func (r *roots) grow(l journal.Logged) {
	t := r.trees[l.Device]
	if t == nil {
		if l.Index != 0 {
			return
		}
		t = new(proof.Tree)
		r.trees[l.Device] = t
	}
	if t.Size() != l.Index {
		return
	}
	t.Append(l.Bytes)
	r.known.put(rootAt{l.Device, t.Size()}, t.Root())
}

// RootAt implements [Roots].
func (r *roots) RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	if root, ok := r.known.at[rootAt{device, size}]; ok {
		return root, nil
	}
	root, err := r.Roots.RootAt(ctx, device, size)
	if err == nil {
		r.known.put(rootAt{device, size}, root)
	}
	return root, err
}
