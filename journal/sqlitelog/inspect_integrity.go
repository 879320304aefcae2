package sqlitelog

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Integrity checks the database as such: its version, its tables and
// triggers against those that this program makes, every page, every index
// and every reference, and that each entry belongs to a log. Each sentence
// of the result is something wrong. The error is the context's only.
func (db *DB) Integrity(ctx context.Context) ([]string, error) {
	var wrong []string
	for _, check := range []func(context.Context) ([]string, error){
		db.checkSchema, db.checkPages, db.checkReferences, db.checkStrays,
	} {
		found, err := check(ctx)
		wrong = append(wrong, found...)
		if ctx.Err() != nil {
			return wrong, ctx.Err()
		}
		if err != nil {
			wrong = append(wrong, fmt.Sprintf("a check of the database broke off: %v", err))
		}
	}
	return wrong, nil
}

// checkSchema compares version, tables, indexes and triggers with a database
// made anew in memory.
func (db *DB) checkSchema(ctx context.Context) ([]string, error) {
	fresh, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer fresh.Close()
	fresh.SetMaxOpenConns(1) // each connection would have a memory of its own
	if err := migrate(ctx, fresh); err != nil {
		return nil, err
	}
	want, err := objects(ctx, fresh)
	if err != nil {
		return nil, err
	}
	got, err := objects(ctx, db.read)
	if err != nil {
		return nil, err
	}
	var wrong []string
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if text, here := got[name]; !here {
			wrong = append(wrong, fmt.Sprintf("the %s is missing", name))
		} else if text != want[name] {
			wrong = append(wrong, fmt.Sprintf("the %s is not as this program makes it", name))
		}
		delete(got, name)
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		wrong = append(wrong, fmt.Sprintf("there is a %s, which this program does not make", name))
	}
	return wrong, nil
}

// objects returns what made each table, index, trigger and view, and the
// version.
func objects(ctx context.Context, q querier) (map[string]string, error) {
	rows, err := gather(ctx, q, func(rows *sql.Rows, o *[2]string) error { return rows.Scan(&o[0], &o[1]) }, `
		SELECT type || ' ' || name, tbl_name || ': ' || coalesce(sql, '') FROM sqlite_schema
		UNION ALL SELECT 'version of its schema', user_version FROM pragma_user_version`)
	made := make(map[string]string, len(rows))
	for _, o := range rows {
		made[o[0]] = o[1]
	}
	return made, err
}

func (db *DB) checkPages(ctx context.Context) ([]string, error) {
	answers, err := db.lines(ctx, `PRAGMA integrity_check`)
	lines := strings.Split(strings.Join(answers, "\n"), "\n")
	return slices.DeleteFunc(lines, func(line string) bool {
		return line == "" || line == "ok" || strings.HasPrefix(line, "***") // a heading
	}), err
}

func (db *DB) checkReferences(ctx context.Context) ([]string, error) {
	return db.lines(ctx, `SELECT 'a row of ' || "table" || ' refers to a row of ' || parent || ' that is missing' FROM pragma_foreign_key_check`)
}

// checkStrays looks for entries between and around the known logs.
func (db *DB) checkStrays(ctx context.Context) ([]string, error) {
	return db.lines(ctx, `
		WITH RECURSIVE held(log) AS (
			SELECT (SELECT min(pos) FROM entries) >> 40
			UNION ALL
			SELECT (SELECT min(pos) FROM entries WHERE pos >= (held.log + 1) << 40) >> 40 FROM held WHERE held.log IS NOT NULL)
		SELECT 'entries lie under the number ' || log || ', which is not a log' FROM held
		WHERE log IS NOT NULL AND log NOT IN (SELECT log FROM logs)`)
}

// lines runs a query whose rows are texts, and keeps those that came before
// an error.
func (db *DB) lines(ctx context.Context, query string) ([]string, error) {
	return gather(ctx, db.read, func(rows *sql.Rows, line *string) error { return rows.Scan(line) }, query)
}
