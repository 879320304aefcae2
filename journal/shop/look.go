package shop

import (
	"context"
	"errors"
	"log/slog"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
)

// ErrBehind is returned when an index does not hold all that the logs hold, or
// lacks a summary.
var ErrBehind = errors.New("the index is behind the logs")

// OpenToRead joins a log to an index that another program may be writing. The
// shop follows nothing and writes nothing. It is refused with [ErrBehind] while
// the index lacks something.
func OpenToRead(ctx context.Context, by journal.Authority, log Log, idx *index.DB, logger *slog.Logger) (*Shop, error) {
	s := Open(by, log, idx, logger)
	s.reads = true
	whole, err := s.whole(ctx)
	if err == nil && !whole {
		err = ErrBehind
	}
	return s, err
}

// Plainly has all sentences of a look as programs read them: numbers and days stand as in a
// shop that chose no way of writing. It comes before the first view.
func (s *Shop) Plainly() { s.register.plain = true }

// OpenOnce fills an empty index with all that the logs hold, for one look.
// Summaries are worked out when a list is asked for, but then all of them.
func OpenOnce(ctx context.Context, by journal.Authority, log Log, idx *index.DB, logger *slog.Logger) (*Shop, error) {
	s := Open(by, log, idx, logger)
	s.once = true
	return s, s.Follow(ctx)
}

// whole reports whether the index holds all that the logs hold, and a summary
// of every home.
func (s *Shop) whole(ctx context.Context) (bool, error) {
	if same, err := s.index.Agrees(ctx, s.log); err != nil || !same {
		return false, err
	}
	marks, err := s.index.Marks(ctx)
	if err != nil {
		return false, err
	}
	sizes := make(map[journal.DeviceID]int64)
	for _, m := range marks {
		sizes[m.Device] = m.Size
	}
	heads, err := s.log.Heads(ctx)
	if err != nil {
		return false, err
	}
	for _, h := range heads {
		if sizes[h.Device] < h.Size {
			return false, nil
		}
	}
	dirty, err := s.index.DirtyHomes(ctx, edition(), 1)
	return len(dirty) == 0, err
}

// CatchUp takes in all that the logs hold and works out every summary, so that
// whoever only reads the index finds it whole.
func (s *Shop) CatchUp(ctx context.Context) error {
	if err := s.Follow(ctx); err != nil {
		return err
	}
	_, err := s.summarizeAll(ctx)
	return err
}

// Names lists the names of all things of a word that have entries, such as
// "job" or "run".
func (v *View) Names(word string) []string { return v.NamesFrom(word, "") }

// NamesFrom lists those of them that begin so.
func (v *View) NamesFrom(word, beginning string) []string {
	homes, err := v.shop.index.HomesFrom(v.ctx, word, beginning)
	v.note(err)
	var list []string
	for _, h := range homes {
		list = append(list, h.Last())
	}
	return list
}

// Rests lists where the entries lie that everything rests on that was looked
// at: those of the register, and of each case.
func (v *View) Rests() []journal.Position {
	at := make(map[journal.Position]bool)
	add := func(shop *record.Shop) {
		for l := range shop.All() {
			at[l.Position()] = true
		}
		for _, l := range shop.Loose {
			at[l.Position()] = true
		}
	}
	add(v.Shop)
	for _, c := range v.seen {
		add(c.Shop)
	}
	return slices.Collect(maps.Keys(at))
}

// MostPromised is of how many jobs [View.Promises] tells at most, of those
// whose promises are due first.
const MostPromised = mostPromises
