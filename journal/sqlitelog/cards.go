package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"fettlebook/journal"

	"github.com/go-json-experiment/json"
)

// SaveCard keeps a card unless a newer state is here. An erased card stays
// erased: a copy that comes late from another tablet does not bring it back.
func (db *DB) SaveCard(ctx context.Context, s journal.CardState) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	err := inTx(ctx, db.write, func(tx *sql.Tx) error {
		if s.Erased {
			return eraseCard(ctx, tx, s.Card.Card, s.Changed)
		}
		raw, err := json.Marshal(s.Card, json.Deterministic(true))
		if err != nil {
			return fmt.Errorf("encode card: %w", err)
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO cards (card, written, json, rev)
			VALUES (?, ?, ?, (SELECT coalesce(max(rev), 0) + 1 FROM cards))
			ON CONFLICT (card) DO UPDATE SET written = excluded.written, json = excluded.json, rev = excluded.rev
			WHERE excluded.written > written AND json IS NOT NULL`,
			string(s.Card.Card), s.Changed[:], raw)
		return err
	})
	if err != nil {
		return err
	}
	db.wakes.wake()
	return nil
}

// eraseCard removes the details and keeps the name, so that no late copy
// brings them back. secure_delete overwrites the old bytes on the page; the
// WAL is emptied by [DB.Shred].
func eraseCard(ctx context.Context, q querier, card journal.CardID, by journal.EntryID) error {
	_, err := q.ExecContext(ctx, `INSERT INTO cards (card, written, json, rev)
		VALUES (?, ?, NULL, (SELECT coalesce(max(rev), 0) + 1 FROM cards))
		ON CONFLICT (card) DO UPDATE SET written = excluded.written, json = NULL, rev = excluded.rev WHERE json IS NOT NULL`,
		string(card), by[:])
	if err != nil {
		return fmt.Errorf("erase card %s: %w", card, err)
	}
	return nil
}

// Erasures counts the customer cards whose details were erased here.
func (db *DB) Erasures(ctx context.Context) (int, error) {
	var n int
	if err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM cards WHERE json IS NULL`).Scan(&n); err != nil {
		return 0, fmt.Errorf("count erased cards: %w", damaged(err))
	}
	return n, nil
}

// Shred empties the write-ahead log, in which erased bytes could be read.
func (db *DB) Shred(ctx context.Context) error {
	db.writing.Lock()
	defer db.writing.Unlock()
	var busy, frames, copied int // SQLite reports a reader in the way as a row, not as an error
	if err := db.write.QueryRowContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &frames, &copied); err != nil {
		return fmt.Errorf("empty the write-ahead log: %w", damaged(err))
	}
	if busy != 0 {
		return errors.New("empty the write-ahead log: a long read is in the way, so erased bytes may still be on the disk; try again when it has ended")
	}
	return nil
}

// Card returns a card; [journal.ErrCardErased] if it was erased, [ErrNoCard]
// if it never was here.
func (db *DB) Card(ctx context.Context, card journal.CardID) (journal.Card, error) {
	list, err := db.cards(ctx, `WHERE card = ?`, string(card))
	if err != nil {
		return journal.Card{}, err
	}
	if len(list) == 0 {
		return journal.Card{}, fmt.Errorf("customer card %s: %w", card, ErrNoCard)
	}
	if list[0].Erased {
		return journal.Card{}, journal.ErrCardErased
	}
	return list[0].Card, nil
}

// ErrNoCard is returned for a card that is not here.
var ErrNoCard = journal.ErrNoCard

// CardsSince lists cards changed here after a revision, oldest first.
func (db *DB) CardsSince(ctx context.Context, rev int64) ([]journal.CardState, error) {
	return db.cards(ctx, `WHERE rev > ? ORDER BY rev LIMIT 200`, rev)
}

func (db *DB) cards(ctx context.Context, where string, args ...any) ([]journal.CardState, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT card, written, json, rev FROM cards `+where, args...)
	if err != nil {
		return nil, fmt.Errorf("read cards: %w", damaged(err))
	}
	defer rows.Close()
	var list []journal.CardState
	for rows.Next() {
		var s journal.CardState
		var written, raw []byte
		if err := rows.Scan(&s.Card.Card, &written, &raw, &s.Rev); err != nil {
			return nil, fmt.Errorf("read cards: %w", damaged(err))
		}
		if len(written) != len(s.Changed) {
			return nil, fmt.Errorf("read cards: %w", ErrDamaged)
		}
		s.Changed, s.Erased = journal.EntryID(written), raw == nil
		if raw != nil {
			if err := json.Unmarshal(raw, &s.Card); err != nil {
				return nil, fmt.Errorf("read card %s: %w", s.Card.Card, err)
			}
		}
		list = append(list, s)
	}
	return list, damaged(rows.Err())
}
