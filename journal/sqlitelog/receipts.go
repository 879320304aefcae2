package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// seenState is the newest countersigned state of the hub's log.
type seenState struct {
	mu   sync.Mutex
	seen journal.Seen
}

func (s *seenState) get() journal.Seen {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.seen
}

// raise keeps the larger state.
func (s *seenState) raise(to journal.Seen) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if to.Size > s.seen.Size {
		s.seen = to
	}
}

// SaveCountersigned stores a countersigned checkpoint that the caller has
// verified. The hub's own log, countersigned, is from then on what new
// entries cite as seen. Of two words on the same size the earlier one stays: a hub that
// lost it has signed again.
func (db *DB) SaveCountersigned(ctx context.Context, c journal.Countersigned) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	row, err := findLog(ctx, db.write, c.Device)
	if err != nil {
		return err
	}
	var state proof.Checkpoint
	if c.Device == db.opts.Hub { // entries are to cite it, so it must hold here too
		if state, err = db.stateOf(ctx, db.write, c); err != nil {
			return fmt.Errorf("save countersignature: %w", err)
		}
	}
	_, err = db.write.ExecContext(ctx, `INSERT INTO countersigned (log, size, at, note) VALUES (?, ?, ?, ?)
		ON CONFLICT DO UPDATE SET at = excluded.at, note = excluded.note WHERE excluded.at < countersigned.at`,
		row.log, c.Size, c.At.Unix(), string(c.Note))
	if err != nil {
		return fmt.Errorf("save countersignature: %w", damaged(err))
	}
	db.seen.raise(state.Seen())
	db.wakes.wake()
	return nil
}

// LastCountersigned returns the newest countersignature over a log; its Size
// is 0 if there is none.
func (db *DB) LastCountersigned(ctx context.Context, device journal.DeviceID) (journal.Countersigned, error) {
	c := journal.Countersigned{Device: device}
	var at int64
	err := db.read.QueryRowContext(ctx, `SELECT size, at, note FROM countersigned JOIN logs USING (log)
		WHERE device = ? ORDER BY size DESC LIMIT 1`, string(device)).Scan(&c.Size, &at, &c.Note)
	if errors.Is(err, sql.ErrNoRows) {
		return c, nil
	}
	if err != nil {
		return c, fmt.Errorf("read countersignature: %w", damaged(err))
	}
	c.At = time.Unix(at, 0).UTC()
	return c, nil
}

// CountersignedSince lists countersignatures over a log beyond a size,
// oldest first, at most the given number.
func (db *DB) CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT size, at, note FROM countersigned JOIN logs USING (log)
		WHERE device = ? AND size > ? ORDER BY size LIMIT ?`, string(device), size, most)
	if err != nil {
		return nil, fmt.Errorf("read countersignatures: %w", damaged(err))
	}
	defer rows.Close()
	var list []journal.Countersigned
	for rows.Next() {
		c := journal.Countersigned{Device: device}
		var at int64
		if err := rows.Scan(&c.Size, &at, &c.Note); err != nil {
			return nil, fmt.Errorf("read countersignatures: %w", damaged(err))
		}
		c.At = time.Unix(at, 0).UTC()
		list = append(list, c)
	}
	return list, damaged(rows.Err())
}

// loadSeen restores what new entries cite.
func (db *DB) loadSeen(ctx context.Context) error {
	if db.opts.Hub == "" {
		return nil
	}
	c, err := db.LastCountersigned(ctx, db.opts.Hub)
	if err != nil || c.Size == 0 {
		return err
	}
	state, err := db.stateOf(ctx, db.read, c)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	db.seen.raise(state.Seen())
	return nil
}

// stateOf opens the state of the hub's log that is countersigned.
func (db *DB) stateOf(ctx context.Context, q querier, c journal.Countersigned) (proof.Checkpoint, error) {
	text, err := keyAt(ctx, q, c.Device, c.Size)
	if err != nil {
		return proof.Checkpoint{}, err
	}
	key, err := proof.Verifier(text)
	if err != nil {
		return proof.Checkpoint{}, err
	}
	return proof.Open(c.Note, key)
}

// Mark returns a named mark, or "".
func (db *DB) Mark(ctx context.Context, name string) (string, error) {
	return mark(ctx, db.read, name)
}

func mark(ctx context.Context, q querier, name string) (string, error) {
	var v string
	err := q.QueryRowContext(ctx, `SELECT value FROM marks WHERE name = ?`, name).Scan(&v)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return "", fmt.Errorf("read mark %s: %w", name, damaged(err))
	}
	return v, nil
}

// SetMark sets a named mark.
func (db *DB) SetMark(ctx context.Context, name, value string) error {
	return db.exec(ctx, "set mark", saveMark, name, value)
}

const saveMark = `INSERT INTO marks (name, value) VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value`

func setMark(ctx context.Context, q querier, name, value string) error {
	if _, err := q.ExecContext(ctx, saveMark, name, value); err != nil {
		return fmt.Errorf("set mark %s: %w", name, damaged(err))
	}
	return nil
}

// wakes tells those who wait that something was written here.
type wakes struct {
	mu   sync.Mutex
	list []chan<- struct{}
}

func (w *wakes) wake() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, c := range w.list {
		select {
		case c <- struct{}{}:
		default: // it has not yet looked at the last one
		}
	}
}

// Woken returns a channel that gets a value after writes; several writes may
// give one. Whoever reads it looks at the log again.
func (db *DB) Woken() <-chan struct{} {
	c := make(chan struct{}, 1)
	db.wakes.mu.Lock()
	defer db.wakes.mu.Unlock()
	db.wakes.list = append(db.wakes.list, c)
	return c
}
