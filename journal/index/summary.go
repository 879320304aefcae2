package index

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"fettlebook/journal"
)

// Summary is what lists show of a home without folding it.
type Summary struct {
	Home    journal.Subject
	Edition int64  // of what worked it out
	State   string // by which lists are made
	Sort    int64  // the greater is listed first
	Due     int64  // when the earliest open promise is due; 0 if none is open
	Body    []byte // what the list shows, in any form
	Parts   []byte // its rows of the parts table, in any form; see [DB.Parts]
	// Own is that of the marking. Holders are homes of which its entries are
	// entries too, Rests those that rest on it: they become dirty with it, as
	// of their own or not, unless their summaries are kept together with this
	// one and so have seen what changed here.
	Own     bool
	Holders []journal.Subject
	Rests   []journal.Subject
	// Stamp is that of the marking for which the summary was worked out
	// ([Dirty.Stamp]); a home that was marked again meanwhile stays dirty.
	Stamp int64
}

// Dirty is a home whose summary is missing, or of an older state.
type Dirty struct {
	Home  journal.Subject
	Stamp int64
	// Own says that the home's own entries changed, or those of its runs. Of
	// others it is worked out anew since it rests on a home that did.
	Own bool
}

// withEntries finds a home that is not only cited.
const withEntries = `SELECT home FROM homes h WHERE name = ? AND EXISTS (SELECT 1 FROM entries e WHERE e.home = h.home)`

// MarkDirty says that the homes' own entries, or those of their runs, have
// changed or count otherwise. Homes that have no entry here are left out.
func (db *DB) MarkDirty(ctx context.Context, homes ...journal.Subject) error {
	return db.mark(ctx, true, homes)
}

// MarkResting says that what the homes' summaries rest on elsewhere has changed.
func (db *DB) MarkResting(ctx context.Context, homes ...journal.Subject) error {
	return db.mark(ctx, false, homes)
}

func (db *DB) mark(ctx context.Context, own bool, homes []journal.Subject) error {
	if len(homes) == 0 {
		return nil
	}
	err := db.tx(ctx, func(b *batch) error {
		set := make(map[journal.Subject]bool)
		for _, h := range homes {
			set[h] = true
		}
		return b.mark(set, own)
	})
	if err != nil {
		return fmt.Errorf("mark homes: %w", err)
	}
	return nil
}

// markRests marks what rests on homes whose summaries are kept.
func (b *batch) markRests(list []Summary) error {
	passedOn := make(map[journal.Subject]bool)
	for _, s := range list {
		passedOn[s.Home] = s.Own
	}
	own, resting := make(map[journal.Subject]bool), make(map[journal.Subject]bool)
	for _, s := range list {
		for _, h := range s.Rests {
			if _, here := passedOn[h]; !here {
				resting[h] = true
			}
		}
		for _, h := range s.Holders {
			switch on, here := passedOn[h]; {
			case s.Own && !on:
				own[h] = true
			case !here:
				resting[h] = true
			}
		}
	}
	if err := b.mark(own, true); err != nil {
		return err
	}
	return b.mark(resting, false)
}

// mark marks homes that have entries here.
func (b *batch) mark(homes map[journal.Subject]bool, own bool) error {
	clear(b.touched)
	for h := range homes {
		n, err := b.number(withEntries, string(h))
		if err != nil {
			return err
		}
		if n != 0 {
			b.touched[n] = true
		}
	}
	return b.markTouched(own)
}

func (b *batch) markTouched(own bool) error {
	b.db.stamp++
	for home := range b.touched {
		if err := b.exec(`INSERT INTO dirty (home, stamp, own) VALUES (?, ?, ?) ON CONFLICT (home) DO UPDATE SET stamp = excluded.stamp, own = max(own, excluded.own)`,
			home, b.db.stamp, own); err != nil {
			return err
		}
	}
	return nil
}

// DirtyHomes lists homes whose summary is missing, older than their entries,
// or of another edition; the newest homes first.
func (db *DB) DirtyHomes(ctx context.Context, edition int64, limit int) ([]Dirty, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT name, stamp, own FROM (
		SELECT home, stamp, own FROM (SELECT home, stamp, own FROM dirty ORDER BY home DESC LIMIT ?1)
		UNION ALL SELECT home, 0, 0 FROM (SELECT home FROM summaries WHERE (edition < ?2 OR edition > ?2) AND home NOT IN (SELECT home FROM dirty) LIMIT ?1)
		) JOIN homes USING (home) ORDER BY home DESC LIMIT ?1`, limit, edition)
	if err != nil {
		return nil, fmt.Errorf("list dirty homes: %w", db.judge(err))
	}
	defer rows.Close()
	var list []Dirty
	for rows.Next() {
		var d Dirty
		if err := rows.Scan(&d.Home, &d.Stamp, &d.Own); err != nil {
			return nil, fmt.Errorf("list dirty homes: %w", db.judge(err))
		}
		list = append(list, d)
	}
	return list, db.judge(rows.Err())
}

// outdone finds out whether the summary of a home that is not dirty any more is
// of an edition.
const outdone = `SELECT EXISTS (SELECT 1 FROM summaries WHERE home = ?1 AND edition = ?2) AND NOT EXISTS (SELECT 1 FROM dirty WHERE home = ?1)`

// PutSummaries keeps summaries that were worked out of what [DB.DirtyHomes]
// listed at once, in the place of those that the homes had. Homes that have no
// entry here are left out, and so are those that are not dirty any more:
// somebody else worked them out meanwhile, of a state at least as new.
func (db *DB) PutSummaries(ctx context.Context, list ...Summary) error {
	err := db.tx(ctx, func(b *batch) error {
		for _, s := range list {
			home, err := b.number(withEntries, string(s.Home))
			if err != nil {
				return err
			}
			if home == 0 {
				continue // the index was begun anew meanwhile, and will ask for it again
			}
			done, err := b.number(outdone, home, s.Edition)
			if err != nil {
				return err
			}
			if done != 0 {
				continue // nothing would ask for it again
			}
			due := sql.NullInt64{Int64: s.Due, Valid: s.Due != 0}
			if err := b.exec(`INSERT OR REPLACE INTO summaries (home, edition, state, sort, due, body) VALUES (?, ?, ?, ?, ?, ?)`,
				home, s.Edition, s.State, s.Sort, due, s.Body); err != nil {
				return err
			}
			if err := b.keepParts(home, s.Parts); err != nil {
				return err
			}
			if err := b.exec(`DELETE FROM dirty WHERE home = ? AND stamp = ?`, home, s.Stamp); err != nil {
				return err
			}
		}
		return b.markRests(list)
	})
	if err != nil {
		return fmt.Errorf("keep summaries: %w", err)
	}
	return nil
}

// Summary returns the summary of a home and whether there is one, however
// old it is.
func (db *DB) Summary(ctx context.Context, home journal.Subject) (Summary, bool, error) {
	list, err := db.summaries(ctx, `JOIN homes USING (home) WHERE name = ?`, string(home))
	if err != nil || len(list) == 0 {
		return Summary{}, false, err
	}
	return list[0], true, nil
}

// Summaries lists the homes in a state, the greatest sort first.
func (db *DB) Summaries(ctx context.Context, state string, limit int) ([]Summary, error) {
	return db.summaries(ctx, `JOIN homes USING (home) WHERE state = ? ORDER BY sort DESC, home DESC LIMIT ?`, state, limit)
}

// Promises lists the homes with a promise that is due by then, the earliest
// first.
func (db *DB) Promises(ctx context.Context, by int64, limit int) ([]Summary, error) {
	return db.summaries(ctx, `JOIN homes USING (home) WHERE due <= ? ORDER BY due, home LIMIT ?`, by, limit)
}

func (db *DB) summaries(ctx context.Context, where string, args ...any) ([]Summary, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT name, edition, state, sort, coalesce(due, 0), body FROM summaries `+where, args...)
	if err != nil {
		return nil, fmt.Errorf("read summaries: %w", db.judge(err))
	}
	defer rows.Close()
	var list []Summary
	for rows.Next() {
		var s Summary
		if err := rows.Scan(&s.Home, &s.Edition, &s.State, &s.Sort, &s.Due, &s.Body); err != nil {
			return nil, errors.Join(fmt.Errorf("read summaries: %w", db.judge(err)))
		}
		list = append(list, s)
	}
	return list, db.judge(rows.Err())
}

// Count returns how many homes are in a state.
func (db *DB) Count(ctx context.Context, state string) (int, error) {
	var n int
	if err := db.read.QueryRowContext(ctx, `SELECT count(*) FROM summaries WHERE state = ?`, state).Scan(&n); err != nil {
		return 0, fmt.Errorf("count summaries: %w", db.judge(err))
	}
	return n, nil
}
