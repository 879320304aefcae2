package index

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"slices"

	"fettlebook/journal"
)

// log is a log as a batch grows it.
type log struct {
	row   int64
	begun int64 // its size before
	size  int64
	last  []byte
}

// Put takes in entries: all of them, and the marks of their logs, or none.
// The entries of each log must follow its mark without a gap. Their homes
// become dirty; what depends on them is for the caller to mark ([DB.MarkDirty]).
func (db *DB) Put(ctx context.Context, items []Item) error {
	list := make([]gist, len(items))
	for i, item := range items {
		list[i] = digest(item)
	}
	return db.put(ctx, list)
}

func (db *DB) put(ctx context.Context, list []gist) error {
	err := db.tx(ctx, func(b *batch) error { return b.put(list) })
	if err != nil {
		return fmt.Errorf("index entries: %w", err)
	}
	return nil
}

func (b *batch) put(list []gist) error {
	entries := table{insert: `INSERT INTO entries (pos, id, home, kind, version, person, day, place, waiting, void, past) VALUES`, width: 11}
	words := table{insert: `INSERT INTO words (rowid, text) VALUES`, width: 2}
	var cites, amendments, uses rows
	for i := range list {
		g := &list[i]
		at, err := b.grow(g)
		if err != nil {
			return err
		}
		if !g.entry {
			entries.add(at, nil, nil, nil, nil, nil, nil, g.place, g.waiting, g.void, g.past)
			continue
		}
		home, err := b.home(string(g.home))
		if err != nil {
			return err
		}
		b.touched[home] = true
		kind, err := b.name(string(g.kind.Kind))
		if err != nil {
			return err
		}
		person, err := b.name(string(g.by))
		if err != nil {
			return err
		}
		entries.add(at, g.id[:], home, kind, g.kind.Version, person, g.day, g.place, g.waiting, g.void, g.past)
		if g.words != "" {
			words.add(at, g.words)
		}
		for _, c := range g.cites {
			n, err := b.thing(c)
			if err != nil {
				return err
			}
			cites = append(cites, row{n, at})
			if g.kind.Kind.Is(journal.Amends) && c.home == "" {
				amendments = append(amendments, row{kind, n, at})
			}
		}
		for _, u := range g.uses {
			n, err := b.thing(u.of)
			if err != nil {
				return err
			}
			uses = append(uses, row{n, g.place, at, u.times})
		}
		for _, k := range g.keys {
			if err := b.key(k, home, at); err != nil {
				return err
			}
		}
	}
	entries.sort()
	for _, t := range []*table{&entries,
		cites.sorted(`INSERT OR IGNORE INTO citations (thing, pos) VALUES`, 2),
		amendments.sorted(`INSERT OR IGNORE INTO amendments (kind, thing, pos) VALUES`, 3),
		uses.sorted(`INSERT INTO uses (thing, place, pos, times) VALUES`, 4)} {
		if err := b.fill(t); err != nil {
			return err
		}
	}
	if err := b.correct(list); err != nil {
		return err
	}
	if err := b.unsettle(list); err != nil {
		return err
	}
	if err := b.twins(); err != nil {
		return err
	}
	if err := b.markTouched(true); err != nil {
		return err
	}
	if err := b.saveMarks(); err != nil {
		return err
	}
	return b.say(&words)
}

// say puts in words. FTS5 writes out what it gathered whenever a row comes
// before the last one, and before any statement of several rows, as a part of
// its own that is merged later: so they come in order, one a statement, and
// last.
func (b *batch) say(words *table) error {
	words.sort()
	for args := words.args; len(args) > 0; args = args[words.width:] {
		if err := b.exec(words.insert+`(?, ?)`, args[:words.width]...); err != nil {
			return err
		}
	}
	return nil
}

// rows are numbers to be inserted in order of the first columns.
type rows []row
type row [4]int64

func (r rows) sorted(insert string, width int) *table {
	slices.SortFunc(r, func(a, b row) int { return slices.Compare(a[:], b[:]) })
	t := &table{insert: insert, width: width}
	for _, x := range r {
		for _, n := range x[:width] {
			t.args = append(t.args, n)
		}
	}
	return t
}

// grow moves the mark of an item's log past it and returns its row.
func (b *batch) grow(g *gist) (int64, error) {
	device := string(g.Device)
	l, ok := b.logs[device]
	if !ok {
		l = &log{}
		b.logs[device] = l
		if err := b.exec(`INSERT OR IGNORE INTO logs (device, size) VALUES (?, 0)`, device); err != nil {
			return 0, err
		}
		s, err := b.prepare(`SELECT log, size FROM logs WHERE device = ?`)
		if err != nil {
			return 0, err
		}
		if err := s.QueryRowContext(b.ctx, device).Scan(&l.row, &l.size); err != nil {
			return 0, err
		}
		l.begun = l.size
	}
	if g.Index != l.size {
		return 0, &OutOfStep{Device: g.Device, Size: l.size, Index: g.Index}
	}
	at := pos(l.row, l.size)
	l.size, l.last = l.size+1, nil
	if g.entry {
		l.last = g.id[:]
	}
	return at, nil
}

func (b *batch) saveMarks() error {
	for _, l := range b.logs {
		if err := b.exec(`UPDATE logs SET size = ?, last = ? WHERE log = ?`, l.size, l.last, l.row); err != nil {
			return err
		}
	}
	return nil
}

// OutOfStep says that an item does not follow what of its log is indexed.
type OutOfStep struct {
	Device      journal.DeviceID
	Size, Index int64
}

func (e *OutOfStep) Error() string {
	return fmt.Sprintf("%d entries of log %s are indexed, and entry %d does not follow them", e.Size, e.Device, e.Index)
}

// Placing is where an entry stands now.
type Placing struct {
	journal.Position
	Place   uint64
	Past    []byte
	Waiting bool
}

// SetPlaces moves entries in the order of all, and notes them as unsettled. An
// entry that waits no longer, or waits again, gets its uses by [DB.SetUses].
func (db *DB) SetPlaces(ctx context.Context, list []Placing) error {
	err := db.tx(ctx, func(b *batch) error {
		for _, p := range list {
			at, err := b.at(p.Position)
			if err != nil {
				return err
			}
			place := signed(p.Place)
			if err := b.exec(`UPDATE entries SET place = ?, past = ?, waiting = ? WHERE pos = ?`, place, p.Past, p.Waiting, at); err != nil {
				return err
			}
			if err := b.exec(`UPDATE uses SET place = ? WHERE pos = ?`, place, at); err != nil {
				return err
			}
			if err := b.unsettled(at); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("place entries: %w", err)
	}
	return nil
}

// Used is what an entry counts as having used.
type Used struct {
	journal.Position
	Uses []journal.Use
}

// SetUses says what entries count as having used: nothing once they are struck
// through, something else where their corrections say so.
func (db *DB) SetUses(ctx context.Context, list ...Used) error {
	if len(list) == 0 {
		return nil
	}
	err := db.tx(ctx, func(b *batch) error {
		for _, u := range list {
			if err := b.use(u); err != nil {
				return fmt.Errorf("entry %d of %s: %w", u.Index, u.Device, err)
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("set uses: %w", err)
	}
	return nil
}

func (b *batch) use(u Used) error {
	pos, err := b.at(u.Position)
	if err != nil {
		return err
	}
	if err := b.exec(`DELETE FROM uses WHERE pos = ?`, pos); err != nil {
		return err
	}
	for _, one := range u.Uses {
		n, err := b.thing(thingOf(one.Of))
		if err != nil {
			return err
		}
		if err := b.exec(`INSERT OR REPLACE INTO uses (thing, place, pos, times) SELECT ?, place, pos, ? FROM entries WHERE pos = ?`,
			n, one.Times, pos); err != nil {
			return err
		}
	}
	return nil
}

// at returns the row of an entry that is here.
func (b *batch) at(p journal.Position) (int64, error) {
	row, err := b.number(`SELECT log FROM logs WHERE device = ? AND size > ?`, string(p.Device), p.Index)
	if err != nil {
		return 0, err
	}
	if row == 0 {
		return 0, fmt.Errorf("%w: entry %d of %s", ErrNoEntry, p.Index, p.Device)
	}
	return pos(row, p.Index), nil
}

// compare puts rows in the order of all.
func (r Row) compare(o Row) int {
	return cmp.Or(cmp.Compare(r.Place, o.Place), bytes.Compare(r.ID[:], o.ID[:]),
		cmp.Compare(r.Device, o.Device), cmp.Compare(r.Index, o.Index))
}
