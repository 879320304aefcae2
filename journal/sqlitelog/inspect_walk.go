package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"iter"
)

// walk reads a table by rising row key, page by page, past whatever cannot
// be read.
type walk[R any] struct {
	db               *sql.DB
	table, key, rest string
	scan             func(rows *sql.Rows, key *int64, r *R) error
}

// reach is how many keys are tried one by one behind a row that cannot be
// read. A damaged inner page hides some 300 leaf pages of a few rows each.
const reach = 8192

// stretch is how many rows one query reads; thumbnails have up to 64 KiB each.
const stretch = 128

// all walks over the whole table.
func (w walk[R]) all(ctx context.Context) iter.Seq2[R, error] {
	return func(yield func(R, error) bool) {
		w.run(ctx, 0, 1<<63-1, func(_ int64, r R, err error) bool { return yield(r, err) })
	}
}

// run emits the rows with keys from from up to end. An error is emitted
// under the first key that it stands for.
func (w walk[R]) run(ctx context.Context, from, end int64, emit func(int64, R, error) bool) {
	var none R
	last, err := w.last(ctx, from, end)
	if err != nil {
		last = -1
	}
	for {
		next, n, broken, going := w.page(ctx, from, end, stretch, emit)
		from = next
		switch {
		case !going || broken == nil && n < stretch && from > last:
			return
		case ctx.Err() != nil:
			emit(from, none, ctx.Err())
			return
		case broken == nil && n == stretch:
			continue
		case broken == nil:
			broken = errors.New("a damaged page hides them")
		}
		if !emit(from, none, broken) {
			return
		}
		if from = w.skip(ctx, from, end, last); from == end {
			return
		}
	}
}

// last returns the greatest key, or -1.
func (w walk[R]) last(ctx context.Context, from, end int64) (int64, error) {
	var last sql.NullInt64
	err := w.db.QueryRowContext(ctx, `SELECT max(`+w.key+`) FROM `+w.table+` WHERE `+w.key+` >= ? AND `+w.key+` < ?`, from, end).Scan(&last)
	if err != nil || !last.Valid {
		return -1, err
	}
	return last.Int64, nil
}

// page emits up to most rows. It returns the key behind the last of them, how
// many there were, what broke it off, and whether emit wants more.
func (w walk[R]) page(ctx context.Context, from, end int64, most int, emit func(int64, R, error) bool) (next int64, n int, broken error, going bool) {
	var keys []int64
	list, err := gather(ctx, w.db, func(rows *sql.Rows, r *R) error {
		var key int64
		err := w.scan(rows, &key, r)
		if err == nil {
			keys = append(keys, key)
		}
		return err
	}, `SELECT `+w.key+`, `+w.rest+` FROM `+w.table+` WHERE `+w.key+` >= ? AND `+w.key+` < ? ORDER BY `+w.key+` LIMIT ?`, from, end, most)
	next = from
	for i, r := range list {
		if !emit(keys[i], r, nil) {
			return next, i, err, false
		}
		next = max(next, keys[i]+1)
	}
	if err == nil && len(list) == most && next == from {
		err = errors.New("their keys do not rise")
	}
	return next, len(list), err, true
}

// skip returns the first key behind from that can be read, or end.
func (w walk[R]) skip(ctx context.Context, from, end, last int64) int64 {
	quiet := func(int64, R, error) bool { return true }
	for key := from + 1; key < min(end, from+reach) && ctx.Err() == nil; key++ {
		switch _, n, broken, _ := w.page(ctx, key, end, 1, quiet); {
		case broken != nil:
		case n == 1:
			return key
		case key > last:
			return end
		}
	}
	if last > from && ctx.Err() == nil {
		return last
	}
	return end
}
