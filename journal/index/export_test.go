package index

import (
	"context"
	"fmt"
	"strings"
)

// Dump writes all that the index knows without the numbers it gave, which
// follow the order of arrival: so equal contents give equal text.
func (db *DB) Dump(ctx context.Context) (string, error) {
	var b strings.Builder
	for _, query := range []string{
		`SELECT device, size, hex(last) FROM logs ORDER BY 1`,
		`SELECT name FROM homes ORDER BY 1`,
		`SELECT l.device, e.pos & 1099511627775, hex(e.id), h.name, k.text, e.version, p.text, e.day, e.place, e.waiting, hex(e.past) FROM entries e JOIN logs l ON l.log = e.pos >> 40
			LEFT JOIN homes h USING (home) LEFT JOIN names k ON k.name = e.kind LEFT JOIN names p ON p.name = e.person ORDER BY 1, 2`,
		`SELECT CASE WHEN thing < 0 THEN thing ELSE (SELECT name FROM homes WHERE home = thing >> 20) || '#' || (thing & 1048575) END, device, pos & 1099511627775 FROM citations JOIN logs ON log = pos >> 40 ORDER BY 1, 2, 3`,
		`SELECT hex(of), device, pos & 1099511627775, deep, name, hex(data) FROM corrections JOIN logs ON log = pos >> 40 JOIN homes USING (home) ORDER BY 1, 2, 3, 4`,
		`SELECT name, device, pos & 1099511627775 FROM astray JOIN homes USING (home) JOIN logs ON log = pos >> 40 ORDER BY 1, 2, 3`,
		`SELECT CASE WHEN thing < 0 THEN thing ELSE (SELECT name FROM homes WHERE home = thing >> 20) || '#' || (thing & 1048575) END, place, device, pos & 1099511627775, times FROM uses JOIN logs ON log = pos >> 40 ORDER BY 1, 2, 3, 4`,
		`SELECT word, text, name, coalesce(device, ''), pos & 1099511627775 FROM keyed JOIN keys USING (key) JOIN homes USING (home) LEFT JOIN logs ON log = pos >> 40 ORDER BY 1, 2, 3, 4, 5`,
		`SELECT word, k.text FROM pieces p JOIN keys k ON k.key = p.rowid ORDER BY 1, 2`,
		`SELECT term, device, doc & 1099511627775 FROM vocabulary JOIN logs ON log = doc >> 40 ORDER BY 1, 2, 3`,
		`SELECT name FROM dirty JOIN homes USING (home) ORDER BY 1`,
	} {
		rows, err := db.read.QueryContext(ctx, query)
		if err != nil {
			return "", err
		}
		columns, err := rows.Columns()
		if err != nil {
			return "", err
		}
		fmt.Fprintln(&b, strings.Join(columns, " "))
		for rows.Next() {
			values := make([]any, len(columns))
			for i := range values {
				values[i] = new(any)
			}
			if err := rows.Scan(values...); err != nil {
				return "", err
			}
			for _, v := range values {
				fmt.Fprintf(&b, "%v|", *v.(*any))
			}
			b.WriteByte('\n')
		}
		if err := rows.Err(); err != nil {
			return "", err
		}
	}
	return b.String(), nil
}

// Hold runs f inside a write transaction that has written something.
func (db *DB) Hold(ctx context.Context, f func() error) error {
	return db.tx(ctx, func(b *batch) error {
		if err := b.exec(`INSERT INTO names (text) VALUES ('held')`); err != nil {
			return err
		}
		return f()
	})
}

// Counted returns how many rows of entries are here of each log, by device.
func (db *DB) Counted(ctx context.Context) (map[string]int64, error) {
	rows, err := db.read.QueryContext(ctx, `SELECT device, (SELECT count(*) FROM entries WHERE pos >> 40 = log) FROM logs`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	counted := map[string]int64{}
	for rows.Next() {
		var device string
		var n int64
		if err := rows.Scan(&device, &n); err != nil {
			return nil, err
		}
		counted[device] = n
	}
	return counted, rows.Err()
}
