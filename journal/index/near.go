package index

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// Of a text that is looked for with a slip in it.
const (
	fewest  = 3  // characters: of two, nearly all is near to everything
	longest = 24 // characters: a VIN has 17
	most    = 20 // keys that are near
)

// FindNear returns what has a key that is one slip away from a text: one
// character wrong, missing, too many, or two beside each other the other way
// round. All texts that are so near are spelled out and looked up, which costs the
// same in any shop: a few hundred, for a VIN some 1 300. Letters beyond A to Z
// are tried where they stand in few of them. What has the text itself is left out.
func (db *DB) FindNear(ctx context.Context, text string, limit int) ([]Match, error) {
	near := Near(text)
	if len(near) == 0 {
		return nil, nil
	}
	texts, err := json.Marshal(near)
	if err != nil {
		return nil, fmt.Errorf("find: %w", err)
	}
	return db.matches(ctx, `WITH near AS (SELECT key FROM keys WHERE text IN (SELECT value FROM json_each(?)) ORDER BY key DESC LIMIT ?) `+
		matches+`WHERE k.key IN (SELECT key FROM near) AND k.word <> ? ORDER BY k.text, d.home DESC, d.pos DESC LIMIT ?`, string(texts), most, Customer, limit)
}

// Near lists what is one slip away from a text, squashed.
func Near(text string) []string {
	const plain = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	const more = "ÄÖÜÅÆØÉÈÇÑŠŽŁČŘ/.+"
	is := []rune(Squash(text))
	if len(is) < fewest || len(is) > longest {
		return nil
	}
	letters := []rune(plain)
	if len(is) <= 10 {
		letters = append(letters, []rune(more)...)
	}
	var list []string
	put := func(from, to int, between ...rune) {
		list = append(list, string(is[:from])+string(between)+string(is[to:]))
	}
	for i := range is {
		put(i, i+1)
		if i+1 < len(is) {
			put(i, i+2, is[i+1], is[i])
		}
		for _, r := range letters {
			put(i, i+1, r)
			put(i, i, r)
		}
	}
	for _, r := range letters {
		put(len(is), len(is), r)
	}
	slices.Sort(list)
	return slices.DeleteFunc(slices.Compact(list), func(s string) bool { return s == string(is) || strings.TrimSpace(s) == "" })
}

// DayHomes returns the jobs and runs with entries from the first to the last
// day, both counted in, by the calendars of their devices: those of the last
// day first, at most so many.
func (db *DB) DayHomes(ctx context.Context, first, last journal.Date, limit int) ([]journal.Subject, error) {
	from, err := dayOf(first)
	if err != nil {
		return nil, err
	}
	to, err := dayOf(last)
	if err != nil {
		return nil, err
	}
	var list []journal.Subject
	for len(list) < limit {
		var day *int64
		if err := db.read.QueryRowContext(ctx, `SELECT max(day) FROM entries WHERE day BETWEEN ? AND ?`, from, to).Scan(&day); err != nil {
			return nil, fmt.Errorf("find days: %w", db.judge(err))
		}
		if day == nil {
			break
		}
		homes, err := db.subjects(ctx, `SELECT name FROM homes WHERE home IN (SELECT DISTINCT home FROM entries WHERE day = ?)
			AND (name LIKE 'job/%' OR name LIKE 'run/%') ORDER BY home DESC`, *day)
		if err != nil {
			return nil, err
		}
		for _, h := range homes {
			if !slices.Contains(list, h) {
				list = append(list, h)
			}
		}
		to = *day - 1
	}
	return list[:min(len(list), limit)], nil
}

// UsingSince returns the entries that used a thing and stand after a place and
// not after another, the first of them first, at most so many.
func (db *DB) UsingSince(ctx context.Context, s journal.Subject, after, upto uint64, limit int) ([]Row, error) {
	t := thingOf(s)
	return db.ordered(ctx, `WHERE pos IN (SELECT pos FROM uses WHERE thing = `+asked+` AND place > ?3 AND place <= ?4 ORDER BY place DESC, pos DESC LIMIT ?5)`,
		t.home, t.number, signed(after), signed(upto), limit)
}

// CitingLately returns the entries of each log that cite a thing, the last of
// them, at most so many a log.
func (db *DB) CitingLately(ctx context.Context, s journal.Subject, limit int) ([]Row, error) {
	marks, err := db.Marks(ctx)
	if err != nil {
		return nil, err
	}
	t := thingOf(s)
	var list []Row
	for _, m := range marks {
		rows, err := db.rows(ctx, `WHERE pos IN (SELECT pos FROM citations WHERE thing = `+asked+` AND pos >= ?3 AND pos < ?4 ORDER BY pos DESC LIMIT ?5)`,
			t.home, t.number, pos(m.log, 0), pos(m.log+1, 0), limit)
		if err != nil {
			return nil, err
		}
		list = append(list, rows...)
	}
	slices.SortFunc(list, func(a, b Row) int { return b.compare(a) })
	return list[:min(len(list), limit)], nil
}
