package sqlitelog

import (
	"context"
	"errors"
	"fmt"
	"os"
)

// Copy writes what a database holds at one moment to a file that is not there yet,
// also while a program writes the database. Bytes that were erased are not in it.
// It is on the disk before Copy returns; the caller sees to the folder that it is in.
func Copy(ctx context.Context, from, to string) (err error) {
	if _, err := os.Stat(from); err != nil {
		return fmt.Errorf("copy log: %w", err)
	}
	pool, err := openPool(from, "?mode=ro&_pragma=busy_timeout(10000)", 1)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, pool.Close()) }()
	if err := checkVersion(ctx, pool); err != nil {
		return err
	}
	if err := create(to); err != nil {
		return err
	}
	if _, err := pool.ExecContext(ctx, `VACUUM INTO ?`, to); err != nil {
		return fmt.Errorf("copy log: %w", damaged(err))
	}
	f, err := os.OpenFile(to, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("copy log: %w", err)
	}
	return errors.Join(f.Sync(), f.Close())
}
