package sqlitelog

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"fettlebook/journal"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// The schema grows by numbered files; a file is never changed once released.
//
//go:embed schema/*.sql
var schema embed.FS

// steps lists the schema files in order. Step n brings a database from
// version n-1 to n; the version is SQLite's own user_version.
func steps(files fs.FS) ([]string, error) {
	names, err := fs.Glob(files, "schema/*.sql")
	if err != nil {
		return nil, fmt.Errorf("list schema: %w", err)
	}
	slices.Sort(names)
	return names, nil
}

func version(ctx context.Context, pool *sql.DB) (int, error) {
	var v int
	if err := pool.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v); err != nil {
		return 0, damaged(err)
	}
	return v, nil
}

// checkVersion refuses a database that this program does not know.
func checkVersion(ctx context.Context, pool *sql.DB) error {
	names, err := steps(schema)
	if err != nil {
		return err
	}
	have, err := version(ctx, pool)
	if err != nil {
		return err
	}
	if have > len(names) {
		return fmt.Errorf("%w (its schema is %d, this program knows %d)", journal.ErrNewer, have, len(names))
	}
	return nil
}

// migrate runs the steps that are missing, each in a transaction of its own.
func migrate(ctx context.Context, pool *sql.DB) error { return migrateBy(ctx, pool, schema) }

func migrateBy(ctx context.Context, pool *sql.DB, files fs.FS) error {
	names, err := steps(files)
	if err != nil {
		return err
	}
	have, err := version(ctx, pool)
	if err != nil {
		return err
	}
	for i := have; i < len(names); i++ {
		if err := step(ctx, pool, files, names[i], i+1); err != nil {
			return fmt.Errorf("bring the database to version %d: %w", i+1, err)
		}
	}
	return nil
}

func step(ctx context.Context, pool *sql.DB, files fs.FS, name string, number int) error {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		return err
	}
	return inTx(ctx, pool, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, string(text)); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", number))
		return err
	})
}

// inTx runs f in one transaction.
func inTx(ctx context.Context, pool *sql.DB, f func(*sql.Tx) error) error {
	tx, err := pool.BeginTx(ctx, nil)
	if err != nil {
		return damaged(err)
	}
	if err := f(tx); err != nil {
		return errors.Join(damaged(err), tx.Rollback())
	}
	return damaged(tx.Commit())
}

// ErrDamaged is wrapped when SQLite finds its file damaged.
var ErrDamaged = errors.New("the database file is damaged; stop, keep a copy of the folder, and run `fettlebook audit` on it")

// damaged adds the sentence for a person to SQLite's codes for a broken file
// and a full disk, once.
func damaged(err error) error {
	var se *sqlite.Error
	if !errors.As(err, &se) || errors.Is(err, ErrDamaged) || errors.Is(err, errUnopened) || errors.Is(err, journal.ErrDiskLow) {
		return err
	}
	switch se.Code() & 0xff {
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB:
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	case lib.SQLITE_CANTOPEN, lib.SQLITE_READONLY:
		return fmt.Errorf("%w (%w)", errUnopened, err)
	case lib.SQLITE_FULL:
		return fmt.Errorf("%w: %w", journal.ErrDiskLow, err)
	}
	return err
}
