package index

import (
	"bytes"
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// ErrNoEntry is wrapped when an entry is not in the index.
var ErrNoEntry = errors.New("the entry is not in the index")

// Row is an entry as the index knows it. Of bytes that are not an entry it holds
// the position only.
type Row struct {
	journal.Position
	ID      journal.EntryID
	Home    journal.Subject
	Kind    journal.Kind
	By      journal.PersonID
	Place   uint64
	Past    []byte
	Waiting bool
	// Twin says that another entry here has the same id, in whatever log or
	// home: after a fork, or since somebody wrote it so.
	Twin bool
}

// Mark is how far a log is indexed: the number of its entries, and the id of
// the last of them, which tells this history of the log from another one.
type Mark struct {
	Device journal.DeviceID
	Size   int64
	Last   journal.EntryID // zero if the last is not an entry

	log int64
}

func (m Mark) last() journal.Position { return journal.Position{Device: m.Device, Index: m.Size - 1} }

// Marks lists the logs that are here.
func (db *DB) Marks(ctx context.Context) ([]Mark, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT log, device, size, last FROM logs ORDER BY device`)
	if err != nil {
		return nil, fmt.Errorf("read marks: %w", db.judge(err))
	}
	defer rows.Close()
	var list []Mark
	for rows.Next() {
		var m Mark
		var last []byte
		if err := rows.Scan(&m.log, (*string)(&m.Device), &m.Size, &last); err != nil {
			return nil, fmt.Errorf("read marks: %w", db.judge(err))
		}
		copy(m.Last[:], last)
		list = append(list, m)
	}
	return list, db.judge(rows.Err())
}

// rows reads entries; where names the columns of the table entries.
func (db *DB) rows(ctx context.Context, where string, args ...any) ([]Row, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT l.device, e.pos & ((1 << 40) - 1), e.id, coalesce(h.name, ''), coalesce(k.text, ''), coalesce(p.text, ''),
		coalesce(e.place, 0), e.waiting, e.past, EXISTS (SELECT 1 FROM twins t WHERE t.pos = e.pos) FROM (SELECT * FROM entries `+where+`) e JOIN logs l ON l.log = e.pos >> 40
		LEFT JOIN homes h ON h.home = e.home LEFT JOIN names k ON k.name = e.kind LEFT JOIN names p ON p.name = e.person`, args...)
	if err != nil {
		return nil, fmt.Errorf("read index: %w", db.judge(err))
	}
	defer rows.Close()
	var list []Row
	for rows.Next() {
		var r Row
		var id []byte
		var place int64
		if err := rows.Scan((*string)(&r.Device), &r.Index, &id, &r.Home, &r.Kind, (*string)(&r.By), &place, &r.Waiting, &r.Past, &r.Twin); err != nil {
			return nil, fmt.Errorf("read index: %w", db.judge(err))
		}
		copy(r.ID[:], id)
		r.Place = unsigned(place)
		list = append(list, r)
	}
	return list, db.judge(rows.Err())
}

// ordered reads entries in the order of all.
func (db *DB) ordered(ctx context.Context, where string, args ...any) ([]Row, error) {
	list, err := db.rows(ctx, where, args...)
	slices.SortFunc(list, Row.compare)
	return list, err
}

// At returns the entry at a position, or an error that wraps [ErrNoEntry].
func (db *DB) At(ctx context.Context, at journal.Position) (Row, error) {
	list, err := db.rows(ctx, `WHERE pos = (SELECT (log << 40) + ? FROM logs WHERE device = ? AND size > ?)`, at.Index, string(at.Device), at.Index)
	if err == nil && len(list) == 0 {
		err = fmt.Errorf("%w: entry %d of %s", ErrNoEntry, at.Index, at.Device)
	}
	if err != nil {
		return Row{}, err
	}
	return list[0], nil
}

// ByID returns the entry with the id, or several after a fork, or none.
func (db *DB) ByID(ctx context.Context, id journal.EntryID) ([]Row, error) {
	return db.ordered(ctx, `WHERE id = ?`, id[:])
}

// IDs lists the ids of entries from one to another, each once, the most that is asked for.
func (db *DB) IDs(ctx context.Context, from, to journal.EntryID, most int) ([]journal.EntryID, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT DISTINCT id FROM entries WHERE id BETWEEN ? AND ? ORDER BY id LIMIT ?`, from[:], to[:], most)
	if err != nil {
		return nil, fmt.Errorf("read index: %w", db.judge(err))
	}
	defer rows.Close()
	var list []journal.EntryID
	for rows.Next() {
		var id []byte
		if err := rows.Scan(&id); err != nil {
			return nil, fmt.Errorf("read index: %w", db.judge(err))
		}
		list = append(list, journal.EntryID(id))
	}
	return list, db.judge(rows.Err())
}

// Entries returns the entries of a home in the order of all; of some kinds, if
// any are given.
func (db *DB) Entries(ctx context.Context, home journal.Subject, kinds ...journal.Kind) ([]Row, error) {
	if len(kinds) > 0 {
		texts, err := json.Marshal(kinds)
		if err != nil {
			return nil, err
		}
		return db.ordered(ctx, `WHERE home = (SELECT home FROM homes WHERE name = ?)
			AND kind IN (SELECT name FROM names WHERE text IN (SELECT value FROM json_each(?)))`, string(home), string(texts))
	}
	return db.ordered(ctx, `WHERE home = (SELECT home FROM homes WHERE name = ?)`, string(home))
}

// Whole returns the entries of homes, and those that stand elsewhere and have
// to do with them, in the order of all: [DB.Entries] and [DB.Astray] of each,
// asked once.
func (db *DB) Whole(ctx context.Context, homes ...journal.Subject) ([]Row, error) {
	names, err := json.Marshal(homes)
	if err != nil {
		return nil, err
	}
	const those = `SELECT home FROM homes WHERE name IN (SELECT value FROM json_each(?1))`
	return db.ordered(ctx, `WHERE pos IN (SELECT pos FROM entries WHERE home IN (`+those+`) UNION SELECT pos FROM astray WHERE home IN (`+those+`))`, string(names))
}

// asked is the number of the thing whose home is ?1 and whose number in it is
// ?2 ([thing]), found on the way: NULL, and so nothing, if nothing is known of
// the home.
const asked = `(?2 + iif(?1 = '', 0, (SELECT home FROM homes WHERE name = ?1) << 20))`

// Citing returns the entries that cite a thing, in the order of all: also
// those that cite something within it, if it is a home, and corrections whose
// replacement does. It is a superset: whoever reads the entries looks
// whether they do.
func (db *DB) Citing(ctx context.Context, s journal.Subject) ([]Row, error) {
	t := thingOf(s)
	return db.ordered(ctx, `WHERE pos IN (SELECT pos FROM citations WHERE thing = `+asked+`)`, t.home, t.number)
}

// Amending returns the corrections, words on an order or withdrawals that cite one of
// several entries or photographs, in the order of all. It is a superset as
// [DB.Citing] is.
func (db *DB) Amending(ctx context.Context, kind journal.Kind, things []journal.Subject) ([]Row, error) {
	numbers := []byte("[")
	for _, s := range things {
		if t := thingOf(s); t.home == "" {
			numbers = append(strconv.AppendInt(numbers, t.number, 10), ',')
		}
	}
	numbers = append(bytes.TrimSuffix(numbers, []byte(",")), ']')
	return db.ordered(ctx, `WHERE pos IN (SELECT pos FROM amendments WHERE kind = (SELECT name FROM names WHERE text = ?)
		AND thing IN (SELECT value FROM json_each(?)))`, string(kind), string(numbers))
}

// Astray returns the entries that stand elsewhere and have to do with entries
// of a home: corrections of them, and others with the same id.
func (db *DB) Astray(ctx context.Context, home journal.Subject) ([]Row, error) {
	return db.ordered(ctx, `WHERE pos IN (SELECT pos FROM astray WHERE home = (SELECT home FROM homes WHERE name = ?))`, string(home))
}

// Spell returns the entries of a kind in a home that stand after one place and
// not after the other, and the last one before them.
func (db *DB) Spell(ctx context.Context, home journal.Subject, kind journal.Kind, after, upto uint64) ([]Row, error) {
	return db.ordered(ctx, `WHERE home = (SELECT home FROM homes WHERE name = ?1) AND kind = (SELECT name FROM names WHERE text = ?2) AND place <= ?4
		AND place >= coalesce((SELECT place FROM entries WHERE home = (SELECT home FROM homes WHERE name = ?1)
			AND kind = (SELECT name FROM names WHERE text = ?2) AND place <= ?3 ORDER BY place DESC LIMIT 1), ?3)`,
		string(home), string(kind), signed(after), signed(upto))
}

// Under returns the entries of all homes under a word, such as tool, and what
// stands astray of them, without those of a kind.
func (db *DB) Under(ctx context.Context, word string, but journal.Kind) ([]Row, error) {
	const under = `SELECT home FROM homes WHERE name > ?1 AND name < ?2`
	const without = `kind IS NOT (SELECT name FROM names WHERE text = ?3)` // said twice, so that the first is asked of the index alone
	return db.rows(ctx, `WHERE pos IN (SELECT pos FROM entries WHERE home IN (`+under+`) AND `+without+`
		UNION SELECT pos FROM astray WHERE home IN (`+under+`)) AND `+without, word+"/", word+"0", string(but))
}

// Homes lists the homes of a word that have entries here, by name: Homes(ctx,
// "run").
func (db *DB) Homes(ctx context.Context, word string) ([]journal.Subject, error) {
	return db.HomesFrom(ctx, word, "")
}

// HomesFrom lists those of them whose names begin so.
func (db *DB) HomesFrom(ctx context.Context, word, beginning string) ([]journal.Subject, error) {
	from := word + "/" + beginning
	return db.subjects(ctx, `SELECT name FROM homes h WHERE name > ? AND name < ? AND EXISTS (SELECT 1 FROM entries e WHERE e.home = h.home) ORDER BY name`,
		from, from+"\x7f") // which comes after all that a name may hold
}

func (db *DB) subjects(ctx context.Context, query string, args ...any) ([]journal.Subject, error) {
	rows, err := db.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, fmt.Errorf("read index: %w", db.judge(err))
	}
	defer rows.Close()
	var list []journal.Subject
	for rows.Next() {
		var s journal.Subject
		if err := rows.Scan(&s); err != nil {
			return nil, fmt.Errorf("read index: %w", db.judge(err))
		}
		list = append(list, s)
	}
	return list, db.judge(rows.Err())
}

// OfKind returns the entries of a kind from the first to the last day, both
// counted in, in the order of all.
func (db *DB) OfKind(ctx context.Context, kind journal.Kind, first, last journal.Date) ([]Row, error) {
	from, err := dayOf(first)
	if err != nil {
		return nil, err
	}
	to, err := dayOf(last)
	if err != nil {
		return nil, err
	}
	return db.ordered(ctx, `WHERE kind = (SELECT name FROM names WHERE text = ?) AND day BETWEEN ? AND ?`, string(kind), from, to)
}

// KindAfter returns the entries of a kind that stand after a place, in the order
// of all.
func (db *DB) KindAfter(ctx context.Context, kind journal.Kind, place uint64) ([]Row, error) {
	return db.ordered(ctx, `WHERE kind = (SELECT name FROM names WHERE text = ?) AND place > ?`, string(kind), signed(place))
}

// Times returns how often a thing was used by entries that stand after one
// place and not after the other.
func (db *DB) Times(ctx context.Context, s journal.Subject, after, upto uint64) (int, error) {
	t := thingOf(s)
	var n sql.NullInt64
	err := db.read.QueryRowContext(ctx, `SELECT sum(times) FROM uses WHERE thing = `+asked+` AND place > ?3 AND place <= ?4`,
		t.home, t.number, signed(after), signed(upto)).Scan(&n)
	if err != nil {
		return 0, fmt.Errorf("count uses of %s: %w", s, db.judge(err))
	}
	return int(n.Int64), nil
}

// Newest returns the newest entries of a log, the newest first.
func (db *DB) Newest(ctx context.Context, device journal.DeviceID, most int) ([]Row, error) {
	list, err := db.rows(ctx, `WHERE pos >= (SELECT log << 40 FROM logs WHERE device = ?1) AND pos < (SELECT (log + 1) << 40 FROM logs WHERE device = ?1)
		ORDER BY pos DESC LIMIT ?2`, string(device), most)
	slices.SortFunc(list, func(a, b Row) int { return cmp.Compare(b.Index, a.Index) })
	return list, err
}

// Waiting returns the entries that count for nothing yet, log by log.
func (db *DB) Waiting(ctx context.Context) ([]Row, error) {
	list, err := db.rows(ctx, `WHERE waiting = 1`)
	slices.SortFunc(list, func(a, b Row) int { return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.Index, b.Index)) })
	return list, err
}

// Uncounted returns how many entries of each log count for nothing, now or
// ever; logs of which all count are left out.
func (db *DB) Uncounted(ctx context.Context) (map[journal.DeviceID]int, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT device, (SELECT count(*) FROM entries WHERE waiting = 1 AND pos >= log << 40 AND pos < (log + 1) << 40)
		+ (SELECT count(*) FROM entries WHERE void = 1 AND waiting = 0 AND pos >= log << 40 AND pos < (log + 1) << 40) FROM logs`)
	if err != nil {
		return nil, fmt.Errorf("count entries: %w", db.judge(err))
	}
	defer rows.Close()
	many := make(map[journal.DeviceID]int)
	for rows.Next() {
		var device journal.DeviceID
		var n int
		if err := rows.Scan((*string)(&device), &n); err != nil {
			return nil, fmt.Errorf("count entries: %w", db.judge(err))
		}
		if n > 0 {
			many[device] = n
		}
	}
	return many, db.judge(rows.Err())
}

// UncountedOf returns the first entries of a log that count for nothing, at
// most so many.
func (db *DB) UncountedOf(ctx context.Context, device journal.DeviceID, most int) ([]Row, error) {
	const within = `AND pos >= (SELECT log << 40 FROM logs WHERE device = ?1) AND pos < (SELECT (log + 1) << 40 FROM logs WHERE device = ?1)`
	list, err := db.rows(ctx, `WHERE pos IN (SELECT pos FROM entries WHERE waiting = 1 `+within+`
		UNION ALL SELECT pos FROM entries WHERE void = 1 AND waiting = 0 `+within+` ORDER BY pos LIMIT ?2)`, string(device), most)
	slices.SortFunc(list, func(a, b Row) int { return cmp.Compare(a.Index, b.Index) })
	return list, err
}

// Using returns the entries that used a thing last, in the order of all, at
// most so many, and how many there are.
func (db *DB) Using(ctx context.Context, s journal.Subject, most int) ([]Row, int, error) {
	t := thingOf(s)
	var total int
	if err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM uses WHERE thing = `+asked, t.home, t.number).Scan(&total); err != nil {
		return nil, 0, fmt.Errorf("count uses of %s: %w", s, db.judge(err))
	}
	list, err := db.ordered(ctx, `WHERE pos IN (SELECT pos FROM uses WHERE thing = `+asked+` ORDER BY place DESC, pos DESC LIMIT ?3)`, t.home, t.number, most)
	return list, total, err
}
