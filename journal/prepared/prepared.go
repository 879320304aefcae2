// Package prepared asks SQLite with statements that are prepared once for each
// connection: for a small question that is most of the work.
//
// A statement is kept under its text for as long as the database is open. So
// the texts have to be few: what differs from question to question goes into
// arguments, a list as JSON (json_each).
package prepared

import (
	"context"
	"database/sql"
	"errors"
	"sync"
)

// DB is a pool of connections with the statements that were asked of it. It is
// safe for concurrent use.
type DB struct {
	*sql.DB

	mu   sync.Mutex
	kept map[string]*sql.Stmt
}

// On keeps statements for a pool, which it closes in the end.
func On(pool *sql.DB) *DB { return &DB{DB: pool, kept: make(map[string]*sql.Stmt)} }

// QueryContext asks for rows.
func (db *DB) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	s, err := db.statement(ctx, query)
	if err != nil {
		return nil, err
	}
	return s.QueryContext(ctx, args...)
}

// QueryRowContext asks for one row.
func (db *DB) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	s, err := db.statement(ctx, query)
	if err != nil {
		return db.DB.QueryRowContext(ctx, query, args...) // only it can make a row that says what is wrong
	}
	return s.QueryRowContext(ctx, args...)
}

func (db *DB) statement(ctx context.Context, query string) (*sql.Stmt, error) {
	db.mu.Lock()
	defer db.mu.Unlock()
	if s, ok := db.kept[query]; ok {
		return s, nil
	}
	s, err := db.PrepareContext(ctx, query)
	if err == nil {
		db.kept[query] = s
	}
	return s, err
}

// Close closes the statements and the pool.
func (db *DB) Close() error {
	db.mu.Lock()
	defer db.mu.Unlock()
	var errs []error
	for _, s := range db.kept {
		errs = append(errs, s.Close())
	}
	return errors.Join(append(errs, db.DB.Close())...)
}
