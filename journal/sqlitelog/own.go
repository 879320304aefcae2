package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// indexBits is how many low bits of a row key hold the index in its log.
const indexBits = 40

// pos is a row key. An index beyond all that a log can hold gives the end of
// the log, never a row of another one.
func pos(log, index int64) int64 { return log<<indexBits + min(index, 1<<indexBits) }

func index(pos int64) int64 { return pos & (1<<indexBits - 1) }

// querier is what a transaction and a pool have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

// know makes a log for the device if there is none, and sets its key. A key
// that is already known never changes: a device that gets a new key gets a
// new name with it.
func (db *DB) know(ctx context.Context, q querier, device journal.DeviceID, key string) error {
	if _, err := proof.Verifier(key); err != nil {
		return fmt.Errorf("log of %s: %w", device, err)
	}
	_, err := q.ExecContext(ctx, `INSERT INTO logs (device, key) VALUES (?, ?)
		ON CONFLICT (device) DO UPDATE SET key = excluded.key WHERE key = ''`, string(device), key)
	if err != nil {
		return fmt.Errorf("know device %s: %w", device, damaged(err))
	}
	return nil
}

// logRow is a log's row.
type logRow struct {
	log    int64
	device journal.DeviceID
	key    string
	closed string
}

func findLog(ctx context.Context, q querier, device journal.DeviceID) (logRow, error) {
	r := logRow{device: device}
	err := q.QueryRowContext(ctx, `SELECT log, key, closed FROM logs WHERE device = ?`, string(device)).
		Scan(&r.log, &r.key, &r.closed)
	if errors.Is(err, sql.ErrNoRows) {
		return r, fmt.Errorf("%w: %s", journal.ErrNoLog, device)
	}
	if err != nil {
		return r, fmt.Errorf("find log of %s: %w", device, damaged(err))
	}
	return r, nil
}

// size returns the number of entries of a log.
func size(ctx context.Context, q querier, log int64) (int64, error) {
	var last sql.NullInt64
	err := q.QueryRowContext(ctx, `SELECT max(pos) FROM entries WHERE pos >= ? AND pos < ?`, pos(log, 0), pos(log+1, 0)).Scan(&last)
	if err != nil {
		return 0, fmt.Errorf("measure log: %w", damaged(err))
	}
	if !last.Valid {
		return 0, nil
	}
	return index(last.Int64) + 1, nil
}

// hashes reads stored tree hashes of one log.
type hashes struct {
	ctx context.Context
	q   querier
	log int64
}

var _ tlog.HashReader = hashes{}

// ReadHashes implements [tlog.HashReader].
func (h hashes) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		leaf, nth := proof.Place(x)
		var packed []byte
		err := h.q.QueryRowContext(h.ctx, `SELECT nodes FROM entries WHERE pos = ?`, pos(h.log, leaf)).Scan(&packed)
		if err != nil {
			return nil, fmt.Errorf("read tree hash of entry %d: %w", leaf, damaged(err))
		}
		if out[i], err = proof.Node(packed, nth); err != nil {
			return nil, fmt.Errorf("%w: entry %d: %w", ErrDamaged, leaf, err)
		}
	}
	return out, nil
}

// reload reads the own log's state from the disk: at start, and after a
// failed commit of which nobody knows whether it took hold. writing is held.
func (db *DB) reload(ctx context.Context) error {
	row, err := findLog(ctx, db.write, db.opts.Own)
	if err != nil {
		return err
	}
	n, err := size(ctx, db.write, row.log)
	if err != nil {
		return err
	}
	tree, err := proof.LoadTree(n, hashes{ctx, db.write, row.log})
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	db.own, db.tree, db.closed = row.log, tree, nil
	if err := db.mayGoOn(ctx, row, n); err != nil {
		db.tree = nil
		return err
	}
	if row.closed != "" {
		db.closed = fmt.Errorf("%w (%s)", journal.ErrClosed, row.closed)
	}
	return nil
}

// CloseLog marks a log as taking no more entries here, with the reason.
func (db *DB) CloseLog(ctx context.Context, device journal.DeviceID, reason string) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	_, err := db.write.ExecContext(ctx, `UPDATE logs SET closed = ? WHERE device = ? AND closed = ''`, reason, string(device))
	if err != nil {
		return fmt.Errorf("close log of %s: %w", device, damaged(err))
	}
	if device != db.opts.Own {
		return nil
	}
	return db.reload(ctx)
}

// resumeClock moves the clock past everything that lies here: past the own
// log always, past others within the limit.
func (db *DB) resumeClock(ctx context.Context) error {
	if db.opts.Clock == nil {
		return nil
	}
	rows, err := logRows(ctx, db.write)
	if err != nil {
		return err
	}
	for _, r := range rows {
		var raw []byte
		err := db.write.QueryRowContext(ctx, `SELECT bytes FROM entries WHERE pos >= ? AND pos < ? ORDER BY pos DESC LIMIT 1`,
			pos(r.log, 0), pos(r.log+1, 0)).Scan(&raw)
		if errors.Is(err, sql.ErrNoRows) {
			continue
		}
		if err != nil {
			return fmt.Errorf("read last entry of %s: %w", r.device, damaged(err))
		}
		e, err := journal.Decode(raw)
		if err != nil {
			continue // an unreadable entry carries no time; audit names it
		}
		db.follow(r.device, e.ID)
	}
	return nil
}

// Compared notes how far this device's clock is ahead of the hub's, by which
// the ids of its entries are made right.
func (db *DB) Compared(ahead time.Duration) {
	if db.opts.Clock != nil {
		db.opts.Clock.Compared(ahead)
	}
}

// follow moves the clock past an id: past one of the own log always, past
// another device's within the limit.
func (db *DB) follow(device journal.DeviceID, id journal.EntryID) {
	switch {
	case db.opts.Clock == nil:
	case device == db.opts.Own:
		db.opts.Clock.Resume(id)
	default:
		db.opts.Clock.Follow(id)
	}
}

func logRows(ctx context.Context, q querier) ([]logRow, error) {
	rows, err := q.QueryContext(ctx, `SELECT log, device, key, closed FROM logs ORDER BY device`)
	if err != nil {
		return nil, fmt.Errorf("list logs: %w", damaged(err))
	}
	defer rows.Close()
	var list []logRow
	for rows.Next() {
		var r logRow
		if err := rows.Scan(&r.log, &r.device, &r.key, &r.closed); err != nil {
			return nil, fmt.Errorf("list logs: %w", damaged(err))
		}
		list = append(list, r)
	}
	return list, damaged(rows.Err())
}

// RootAt returns the root of a log's first entries.
func (db *DB) RootAt(ctx context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	row, err := findLog(ctx, db.read, device)
	if err != nil {
		return [32]byte{}, err
	}
	tree, err := proof.LoadTree(size, hashes{ctx, db.read, row.log})
	if err != nil {
		return [32]byte{}, err
	}
	return tree.Root(), nil
}
