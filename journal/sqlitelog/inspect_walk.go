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

// near is how many keys behind a row that cannot be read are tried one by
// one: more than the rows of one leaf page. Behind an inner page the steps
// double, so that thousands of hidden rows cost a few tries.
const near = 64

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

// skip returns the first key behind from that can be read, or end. Rows that
// stand between two damages far behind from may be taken for unreadable too.
func (w walk[R]) skip(ctx context.Context, from, end, last int64) int64 {
	broken, readable := from, from+1
	for !w.readable(ctx, readable, end, last) {
		step := int64(1)
		if broken = readable; broken-from >= near {
			step = broken - from
		}
		if step >= end-broken || ctx.Err() != nil {
			return end
		}
		readable = broken + step
	}
	for readable-broken > 1 {
		if middle := broken + (readable-broken)/2; w.readable(ctx, middle, end, last) {
			readable = middle
		} else {
			broken = middle
		}
	}
	return readable
}

// readable reports whether the first row from a key on can be read, or there
// is none and none is hidden.
func (w walk[R]) readable(ctx context.Context, key, end, last int64) bool {
	_, n, broken, _ := w.page(ctx, key, end, 1, func(int64, R, error) bool { return true })
	return broken == nil && (n == 1 || key > last)
}
