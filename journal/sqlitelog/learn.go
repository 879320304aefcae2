package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// learn applies what an entry says about this database itself, in the
// transaction that stores it: the keys of devices, withdrawn photographs,
// erased cards, and logs that the register closed. Only what counts where it
// lies teaches anything; what is quoted teaches nothing, since all that does is
// the hub's and not quotable.
func (db *DB) learn(ctx context.Context, q querier, at journal.Position, falls bool, e *journal.Entry) error {
	if e.Type.Kind == journal.KeysChanged && at.Device == db.opts.Hub {
		return db.learnKeys(ctx, q, at.Index, e) // which counts by its signatures
	}
	if !teaches(e.Type.Kind) || db.opts.authority().Voids(e, at.Device, falls) != "" {
		return nil
	}
	payload, err := e.Payload()
	if err != nil {
		return nil // kept as it is; the record shows it as unreadable
	}
	switch p := payload.(type) {
	case *journal.Device:
		if _, err := proof.Verifier(p.LogKey); err != nil {
			return nil // a key that cannot be read must not keep back all that follows it
		}
		return db.know(ctx, q, p.Device, p.LogKey)
	case *journal.Withdrawal:
		return withdraw(ctx, q, p.Photo)
	case *journal.CardErasing:
		return eraseCard(ctx, q, p.Card, e.ID)
	case *journal.Revocation: // all of the log counts unless a number says otherwise
		return db.endLog(ctx, q, p.Device, journal.MaxLog)
	case *journal.ForkFound:
		return db.endLog(ctx, q, p.Device, journal.MaxLog)
	case *journal.LogClosing:
		return db.endLog(ctx, q, p.Device, p.Counts)
	case *journal.LogParting:
		return leastMark(ctx, q, markPart+string(p.Device), p.Common)
	}
	return nil
}

// Know sets the key of a device that is not yet in the register here.
func (db *DB) Know(ctx context.Context, device journal.DeviceID, key string) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	return db.know(ctx, db.write, device, key)
}

// Key returns the verifier key of a device's log.
func (db *DB) Key(ctx context.Context, device journal.DeviceID) (string, error) {
	r, err := findLog(ctx, db.read, device)
	if err != nil {
		return "", err
	}
	return r.key, nil
}

// Closed returns why a device's log takes no more entries here, or "".
func (db *DB) Closed(ctx context.Context, device journal.DeviceID) (string, error) {
	r, err := findLog(ctx, db.read, device)
	if err != nil {
		return "", err
	}
	return r.closed, nil
}

// Quarantine keeps bytes that could not be verified, with the reason.
func (db *DB) Quarantine(ctx context.Context, device journal.DeviceID, reason string, raw []byte) error {
	if raw == nil {
		raw = []byte{} // nothing is something that came in, too
	}
	return db.exec(ctx, "quarantine", `INSERT INTO quarantine (at, device, reason, bytes)
		SELECT ?, ?, ?, ? WHERE NOT EXISTS (SELECT 1 FROM quarantine WHERE device = ? AND length(bytes) = ? AND bytes = ?)`,
		db.opts.Now().Unix(), string(device), reason, raw, string(device), len(raw), raw) // a length is read without the bytes
}

// Quarantined yields the bytes of a device that could not be taken in, in the
// order in which they came.
func (db *DB) Quarantined(ctx context.Context, device journal.DeviceID) iter.Seq2[[]byte, error] {
	return func(yield func([]byte, error) bool) {
		for last := int64(0); ; {
			var raw []byte
			err := db.read.QueryRowContext(ctx, `SELECT id, bytes FROM quarantine WHERE device = ? AND id > ? ORDER BY id LIMIT 1`, string(device), last).Scan(&last, &raw)
			if errors.Is(err, sql.ErrNoRows) {
				return
			}
			if err != nil {
				yield(nil, fmt.Errorf("read quarantine: %w", damaged(err)))
				return
			}
			if !yield(raw, nil) {
				return
			}
		}
	}
}

// Quarantined is bytes in quarantine.
type Quarantined struct {
	At     int64
	Device journal.DeviceID
	Reason string
	Bytes  int
}

// Quarantines lists what is in quarantine.
func (db *DB) Quarantines(ctx context.Context) ([]Quarantined, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT at, device, reason, length(bytes) FROM quarantine ORDER BY id`)
	if err != nil {
		return nil, fmt.Errorf("list quarantine: %w", damaged(err))
	}
	defer rows.Close()
	var list []Quarantined
	for rows.Next() {
		var q Quarantined
		if err := rows.Scan(&q.At, &q.Device, &q.Reason, &q.Bytes); err != nil {
			return nil, fmt.Errorf("list quarantine: %w", damaged(err))
		}
		list = append(list, q)
	}
	return list, damaged(rows.Err())
}

// DiscardQuarantine throws away what is in quarantine, but for what shows that a log has
// two histories: as long as one is closed, its proofs stay.
func (db *DB) DiscardQuarantine(ctx context.Context) error {
	return db.exec(ctx, "empty quarantine", `DELETE FROM quarantine WHERE NOT EXISTS
		(SELECT 1 FROM logs WHERE logs.device = quarantine.device AND logs.closed <> '')`)
}

// teaches reports whether entries of a kind are anything to [DB.learn].
func teaches(k journal.Kind) bool {
	return k == journal.DeviceEnrolled || k == journal.PhotoWithdrawn || k == journal.CardErased || k == journal.KeysChanged || closesLog(k)
}
