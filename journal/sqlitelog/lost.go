package sqlitelog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"fettlebook/journal"
)

// ErrLost is wrapped when there is no database, or one in which nothing was
// ever written. Where a log was before, it is lost.
var ErrLost = errors.New("there is no journal in the database file")

// lies refuses a database that is not there, or has no content.
func lies(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%w: %w", ErrLost, err)
	case err != nil:
		return fmt.Errorf("open log: %w", err)
	case info.Size() == 0:
		return fmt.Errorf("%w: %s is empty", ErrLost, path)
	}
	return nil
}

// made refuses a database that no program of ours has written yet.
func made(ctx context.Context, pool *sql.DB) error {
	have, err := version(ctx, pool)
	if err == nil && have == 0 {
		return fmt.Errorf("%w: it holds no tables", ErrLost)
	}
	return err
}

// known refuses a database that this program does not know, or that no program has written.
func known(ctx context.Context, pool *sql.DB) error {
	if err := checkVersion(ctx, pool); err != nil {
		return err
	}
	return made(ctx, pool)
}

// holdsOwn refuses a database in which the own log was never begun.
func (o *Options) holdsOwn(ctx context.Context, pool *sql.DB) error {
	if err := made(ctx, pool); err != nil || o.Own == "" {
		return err
	}
	_, err := findLog(ctx, pool, o.Own)
	if errors.Is(err, journal.ErrNoLog) {
		return fmt.Errorf("%w: %w", ErrLost, err)
	}
	return err
}

// still adds to a query that a file does not change, if nobody can change it: where a
// folder cannot be written to SQLite cannot keep beside the file what readers and writers
// share, and reads nothing unless it is told so. What a program was writing when it was
// cut off lies beside the file, and is not passed over.
func still(path, query string) string {
	if f, err := os.OpenFile(path, os.O_RDWR, 0); err == nil {
		f.Close() // nothing was written
		return query
	}
	if behind, err := os.Stat(path + "-wal"); err == nil && behind.Size() > 0 {
		return query
	}
	return query + "&immutable=1"
}

// errUnopened says why a file that is there cannot be opened.
var errUnopened = errors.New("the database file cannot be opened; if its folder cannot be written to, copy the folder to a disk that can")
