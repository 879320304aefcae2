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
