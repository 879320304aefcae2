package index

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
)

// batch is one write transaction, with what it looked up so far.
type batch struct {
	ctx context.Context
	db  *DB

	homes   map[string]int64
	names   map[string]int64
	keys    map[key]int64
	logs    map[string]*log
	touched map[int64]bool // homes
}

// tx runs f in a write transaction. The statements of the one connection are
// prepared once for all transactions, which is half the work of a small one.
func (db *DB) tx(ctx context.Context, f func(*batch) error) error {
	if err := db.writing.lock(ctx); err != nil {
		return err
	}
	defer db.writing.unlock()
	b := &batch{ctx: ctx, db: db, homes: map[string]int64{}, names: map[string]int64{}, keys: map[key]int64{}, logs: map[string]*log{}, touched: map[int64]bool{}}
	if err := b.exec(`BEGIN IMMEDIATE`); err != nil {
		return db.judge(err)
	}
	err := f(b)
	if err == nil {
		err = b.exec(`COMMIT`)
	}
	if err != nil {
		b.ctx = context.WithoutCancel(ctx)
		return db.judge(errors.Join(err, b.exec(`ROLLBACK`)))
	}
	if db.unwiped {
		return db.wipe(ctx)
	}
	return nil
}

func (b *batch) prepare(query string) (*sql.Stmt, error) {
	s, ok := b.db.prepared[query]
	if ok {
		return s, nil
	}
	s, err := b.db.conn.PrepareContext(b.ctx, query)
	if err == nil {
		b.db.prepared[query] = s
	}
	return s, err
}

func (b *batch) exec(query string, args ...any) error {
	_, err := b.insert(query, args...)
	return err
}

// insert returns the number of the new row. RETURNING would too, at the price
// that SQLite takes it for a statement of several rows; see [batch.say].
func (b *batch) insert(query string, args ...any) (int64, error) {
	s, err := b.prepare(query)
	if err != nil {
		return 0, err
	}
	r, err := s.ExecContext(b.ctx, args...)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

// number asks for one number; 0 if there is none.
func (b *batch) number(query string, args ...any) (int64, error) {
	s, err := b.prepare(query)
	if err != nil {
		return 0, err
	}
	var n int64
	err = s.QueryRowContext(b.ctx, args...).Scan(&n)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return n, err
}

// abreast is how many rows one statement inserts when there are many.
const abreast = 50

// table gathers rows to insert: many in one statement, which is a third of
// the work of one statement each.
type table struct {
	insert string // up to the rows: "INSERT INTO t (a, b) VALUES"
	width  int
	args   []any // of all rows, one after the other
}

func (t *table) add(row ...any) { t.args = append(t.args, row...) }

// sort puts the rows in order of their first column, a number, so that
// neighbours in the file are written together.
func (t *table) sort() {
	rows := slices.Collect(slices.Chunk(t.args, t.width))
	slices.SortFunc(rows, func(a, b []any) int { return cmp.Compare(a[0].(int64), b[0].(int64)) })
	t.args = slices.Concat(rows...)
}

func (b *batch) fill(t *table) error {
	row := "(" + strings.Repeat("?,", t.width-1) + "?)"
	many := t.insert + strings.Repeat(row+",", abreast-1) + row
	args := t.args
	for ; len(args) >= abreast*t.width; args = args[abreast*t.width:] {
		if err := b.exec(many, args[:abreast*t.width]...); err != nil {
			return err
		}
	}
	for ; len(args) > 0; args = args[t.width:] {
		if err := b.exec(t.insert+row, args[:t.width]...); err != nil {
			return err
		}
	}
	return nil
}

// home returns the number of a home, new if need be. Its name is a key too,
// also while it is only cited.
func (b *batch) home(name string) (int64, error) {
	if n, ok := b.homes[name]; ok {
		return n, nil
	}
	n, err := b.number(`SELECT home FROM homes WHERE name = ?`, name)
	if err == nil && n == 0 {
		if n, err = b.insert(`INSERT INTO homes (name) VALUES (?)`, name); err == nil {
			word, last, _ := strings.Cut(name, "/")
			err = b.key(key{word, Squash(last)}, n, noPos)
		}
	}
	b.homes[name] = n
	return n, err
}

// thing returns the number of a thing, with its home new if need be.
func (b *batch) thing(t thing) (int64, error) {
	if t.home == "" {
		return t.number, nil
	}
	home, err := b.home(t.home)
	return t.in(home), err
}

// noPos stands where no entry says so.
const noPos = -1

// name returns the number of a kind or person, new if need be.
func (b *batch) name(text string) (int64, error) {
	if n, ok := b.names[text]; ok {
		return n, nil
	}
	n, err := b.number(`SELECT name FROM names WHERE text = ?`, text)
	if err == nil && n == 0 {
		n, err = b.insert(`INSERT INTO names (text) VALUES (?)`, text)
	}
	b.names[text] = n
	return n, err
}

// key says that a home has a key.
func (b *batch) key(k key, home, at int64) error {
	n, ok := b.keys[k]
	if !ok {
		var err error
		if n, err = b.number(`SELECT key FROM keys WHERE text = ? AND word = ?`, k.text, k.word); err != nil {
			return err
		}
		if n == 0 {
			if n, err = b.insert(`INSERT INTO keys (text, word) VALUES (?, ?)`, k.text, k.word); err != nil {
				return err
			}
			if err := b.exec(`INSERT INTO pieces (rowid, text) VALUES (?, ?)`, n, k.text); err != nil {
				return err
			}
		}
		b.keys[k] = n
	}
	return b.exec(`INSERT OR IGNORE INTO keyed (key, home, pos) VALUES (?, ?, ?)`, n, home, at)
}
