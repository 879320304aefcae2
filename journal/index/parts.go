package index

import (
	"context"
	"fmt"

	"fettlebook/journal"
)

// Parts are the rows of the parts table of a home.
type Parts struct {
	Home journal.Subject
	Body []byte // empty if it has none any more
}

// keepParts keeps the rows of a home with its summary. Rows that are as they were
// keep their stamp; a home without rows is kept only where it had some, so that
// whoever holds them hears of it.
func (b *batch) keepParts(home int64, body []byte) error {
	b.db.stamp++
	if len(body) == 0 {
		return b.exec(`UPDATE parts SET stamp = ?, body = NULL WHERE home = ? AND body IS NOT NULL`, b.db.stamp, home)
	}
	return b.exec(`INSERT INTO parts (home, stamp, body) VALUES (?, ?, ?)
		ON CONFLICT (home) DO UPDATE SET stamp = excluded.stamp, body = excluded.body WHERE body IS NOT excluded.body`, home, b.db.stamp, body)
}

// Parts returns the rows of the parts table of all homes whose rows changed after a
// stamp, and the stamp after which none has.
func (db *DB) Parts(ctx context.Context, after int64) (list []Parts, stamp int64, err error) {
	stamp = after
	rows, err := db.read.QueryContext(ctx, `SELECT name, stamp, coalesce(body, x'') FROM parts JOIN homes USING (home) WHERE stamp > ?`, after)
	if err != nil {
		return nil, after, fmt.Errorf("read parts: %w", db.judge(err))
	}
	defer rows.Close()
	for rows.Next() {
		var p Parts
		var at int64
		if err := rows.Scan(&p.Home, &at, &p.Body); err != nil {
			return nil, after, fmt.Errorf("read parts: %w", db.judge(err))
		}
		list, stamp = append(list, p), max(stamp, at)
	}
	return list, stamp, db.judge(rows.Err())
}
