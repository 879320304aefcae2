package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"iter"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/prepared"
)

// The Raw… shapes are rows as they lie on the disk, with nothing verified.
// They are spelled out, not named types, so that an auditor can ask for the
// same shapes without knowing this package.
type (
	// RawLog is a log's row. Size is its number of entries, -1 if that
	// cannot be told.
	RawLog = struct {
		Log         int64
		Device, Key string
		Closed      string
		Size        int64
	}

	// RawEntry is an entry's row. Checkpoint is nil where none was signed.
	RawEntry = struct {
		Index                            int64
		Bytes, Nodes, Thumbs, Checkpoint []byte
	}

	// RawThumb is a thumbnail under the hash that it is stored by.
	RawThumb = struct{ Ref, Bytes []byte }

	// RawPhoto is what is noted about an original. Confirmed is zero until
	// the hub has it.
	RawPhoto = struct {
		Ref, Thumb     []byte
		Own, Withdrawn bool
		Confirmed      time.Time
	}

	// RawCard is a customer card's row. JSON is nil once it was erased.
	RawCard = struct {
		Card          string
		Changed, JSON []byte
	}

	// RawQuarantined is something that came in and could not be verified.
	RawQuarantined = struct {
		At             time.Time
		Device, Reason string
		Bytes          int
	}
)

// OpenToInspect opens an existing database for reading only, also a damaged
// one. Only a missing or empty file and a database of a newer fettlebook are
// refused.
func OpenToInspect(ctx context.Context, path string) (*DB, error) {
	if err := lies(path); err != nil {
		return nil, err
	}
	read, err := openPool(path, still(path, readOnly+"&_pragma=cell_size_check(1)"), 2)
	if err != nil {
		return nil, err
	}
	if err := known(ctx, read); err != nil && !errors.Is(err, ErrDamaged) {
		return nil, errors.Join(err, read.Close())
	}
	return &DB{read: prepared.On(read), writing: make(turn, 1)}, nil
}

// RawLogs yields the logs in the order in which they were begun. All sizes
// are of one moment. An error ends it.
func (db *DB) RawLogs(ctx context.Context) iter.Seq2[RawLog, error] {
	const (
		sized = `coalesce((SELECT max(pos) & ((1 << 40) - 1) FROM entries WHERE pos >= log << 40 AND pos < (log + 1) << 40), -1) + 1`
		blind = `-1`
	)
	return func(yield func(RawLog, error) bool) {
		list, err := rawLogs(ctx, db.read, sized)
		if err != nil && ctx.Err() == nil {
			list, err = rawLogs(ctx, db.read, blind)
		}
		hand(list, err, yield)
	}
}

func rawLogs(ctx context.Context, q querier, size string) ([]RawLog, error) {
	return gather(ctx, q, func(rows *sql.Rows, r *RawLog) error {
		return rows.Scan(&r.Log, &r.Device, &r.Key, &r.Closed, &r.Size)
	}, `SELECT log, device, key, closed, `+size+` FROM logs ORDER BY log`)
}

// RawCountersigned yields the countersignatures over a log by rising size,
// without the device's name. An error ends it.
func (db *DB) RawCountersigned(ctx context.Context, log int64) iter.Seq2[journal.Countersigned, error] {
	return func(yield func(journal.Countersigned, error) bool) {
		for after, more := int64(-1<<63), true; more; {
			list, err := gather(ctx, db.read, func(rows *sql.Rows, c *journal.Countersigned) error {
				var at int64
				err := rows.Scan(&c.Size, &at, &c.Note)
				c.At = time.Unix(at, 0).UTC()
				return err
			}, `SELECT size, at, note FROM countersigned WHERE log = ? AND size > ? ORDER BY size LIMIT ?`, log, after, page)
			if !hand(list, err, yield) {
				return
			}
			// A damaged page may give keys that do not rise.
			more = len(list) == page && list[page-1].Size > after
			if more {
				after = list[page-1].Size
			}
		}
	}
}

// RawPhotos yields what is noted about originals. An error ends it.
func (db *DB) RawPhotos(ctx context.Context) iter.Seq2[RawPhoto, error] {
	return func(yield func(RawPhoto, error) bool) {
		for after, more := "", true; more; {
			list, err := gather(ctx, db.read, func(rows *sql.Rows, r *RawPhoto) error {
				var confirmed sql.NullInt64
				err := rows.Scan(&r.Ref, &r.Thumb, &r.Own, &r.Withdrawn, &confirmed)
				if confirmed.Valid {
					r.Confirmed = time.Unix(confirmed.Int64, 0).UTC()
				}
				return err
			}, `SELECT ref, thumb, own <> 0, withdrawn <> 0, confirmed FROM photos WHERE ref > ? ORDER BY ref LIMIT ?`, []byte(after), page)
			if !hand(list, err, yield) {
				return
			}
			more = len(list) == page && string(list[page-1].Ref) > after
			if more {
				after = string(list[page-1].Ref)
			}
		}
	}
}

// gather reads all rows of a query, and returns those before an error with it.
func gather[R any](ctx context.Context, q querier, scan func(*sql.Rows, *R) error, query string, args ...any) ([]R, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []R
	for rows.Next() {
		var r R
		if err := scan(rows, &r); err != nil {
			return list, err
		}
		list = append(list, r)
	}
	return list, rows.Err()
}

// hand yields what was gathered, then the error. It reports whether to go on.
func hand[R any](list []R, err error, yield func(R, error) bool) bool {
	for _, r := range list {
		if !yield(r, nil) {
			return false
		}
	}
	if err != nil {
		var none R
		yield(none, err)
	}
	return err == nil
}

// RawEntries yields the rows of a log from an index on. Where rows cannot be
// read, an error stands in their place with the index of the first of them,
// and the walk goes on behind them.
func (db *DB) RawEntries(ctx context.Context, log, from int64) iter.Seq2[RawEntry, error] {
	w := walk[RawEntry]{db: db.read.DB, table: "entries", key: "pos", rest: "bytes, nodes, thumbs, checkpoint",
		scan: func(rows *sql.Rows, key *int64, r *RawEntry) error {
			return rows.Scan(key, &r.Bytes, &r.Nodes, &r.Thumbs, &r.Checkpoint)
		}}
	return func(yield func(RawEntry, error) bool) {
		w.run(ctx, pos(log, from), pos(log+1, 0), func(key int64, r RawEntry, err error) bool {
			r.Index = index(key)
			return yield(r, err)
		})
	}
}

// RawThumbs yields every thumbnail. An error stands in the place of those
// that cannot be read, and the walk goes on behind them.
func (db *DB) RawThumbs(ctx context.Context) iter.Seq2[RawThumb, error] {
	return walk[RawThumb]{db: db.read.DB, table: "thumbs", key: "id", rest: "ref, bytes",
		scan: func(rows *sql.Rows, key *int64, r *RawThumb) error { return rows.Scan(key, &r.Ref, &r.Bytes) },
	}.all(ctx)
}

// RawCards yields every customer card, as [DB.RawThumbs] does thumbnails.
func (db *DB) RawCards(ctx context.Context) iter.Seq2[RawCard, error] {
	return walk[RawCard]{db: db.read.DB, table: "cards", key: "rowid", rest: "card, written, json",
		scan: func(rows *sql.Rows, key *int64, r *RawCard) error {
			return rows.Scan(key, &r.Card, &r.Changed, &r.JSON)
		},
	}.all(ctx)
}

// RawQuarantined yields what is in quarantine, as [DB.RawThumbs] does
// thumbnails.
func (db *DB) RawQuarantined(ctx context.Context) iter.Seq2[RawQuarantined, error] {
	return walk[RawQuarantined]{db: db.read.DB, table: "quarantine", key: "id", rest: "at, device, reason, length(bytes)",
		scan: func(rows *sql.Rows, key *int64, r *RawQuarantined) error {
			var at int64
			err := rows.Scan(key, &at, &r.Device, &r.Reason, &r.Bytes)
			r.At = time.Unix(at, 0).UTC()
			return err
		},
	}.all(ctx)
}
