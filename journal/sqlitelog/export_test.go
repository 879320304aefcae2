package sqlitelog

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
)

// The inner doors that tests need.

// WithDriver makes the writing connection go through another driver.
func WithDriver(o Options, name string) Options {
	o.driver = name
	return o
}

// Raw runs a statement on the writing connection.
func (db *DB) Raw(ctx context.Context, query string) error {
	_, err := db.write.ExecContext(ctx, query)
	return err
}

// Pragma reads a setting of the writing or of a reading connection.
func (db *DB) Pragma(ctx context.Context, writing bool, name string) (string, error) {
	pool := db.read.DB
	if writing {
		pool = db.write
	}
	var v string
	err := pool.QueryRowContext(ctx, "PRAGMA "+name).Scan(&v)
	return v, err
}

// RawRead runs a statement on a reading connection.
func (db *DB) RawRead(ctx context.Context, query string) error {
	_, err := db.read.ExecContext(ctx, query)
	return err
}

// ReadTx holds a read transaction open.
func (db *DB) ReadTx(ctx context.Context) (*sql.Tx, error) { return db.read.BeginTx(ctx, nil) }

// Hold keeps all writers waiting until release.
func (db *DB) Hold() (release func()) {
	db.writing.Lock()
	return db.writing.Unlock
}

// Queued returns how many drafts wait for the next transaction.
func (db *DB) Queued() int {
	db.queue.mu.Lock()
	defer db.queue.mu.Unlock()
	return len(db.queue.list)
}

// Migrate brings the database up to the steps in files.
func (db *DB) Migrate(ctx context.Context, files fs.FS) error { return migrateBy(ctx, db.write, files) }

// CheckPragmas is what Open asks of its writing connection.
func CheckPragmas(ctx context.Context, pool *sql.DB) error { return checkPragmas(ctx, pool) }

// Steps returns the number of schema files.
func Steps() int {
	names, err := steps(schema)
	if err != nil {
		panic(fmt.Sprintf("the embedded schema cannot be listed: %v", err))
	}
	return len(names)
}
