package folder

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"fettlebook/media/durable"

	"github.com/gofrs/flock"
)

// ErrInUse is wrapped when another program writes the folder.
var ErrInUse = errors.New("this data folder is in use by another fettlebook; stop that one first, or leave the work to it")

// A command holds the folder for moments; one that comes meanwhile waits so long. A program
// that stays has a door, which its caller knocks at.
const (
	heldFor   = 5 * time.Second
	lockAgain = 20 * time.Millisecond
	doorFile  = "door.json"
)

// await is Lock as soon as a command that holds the folder is done.
func await(ctx context.Context, dir string) (*flock.Flock, error) {
	tick := time.NewTicker(lockAgain)
	defer tick.Stop()
	patience := time.NewTimer(heldFor)
	defer patience.Stop()
	for {
		lock, err := Lock(dir)
		if !errors.Is(err, ErrInUse) {
			return lock, err
		}
		if _, stays := os.Stat(filepath.Join(dir, doorFile)); stays == nil {
			return nil, err
		}
		select {
		case <-ctx.Done():
			return nil, fmt.Errorf("wait for the data folder: %w", ctx.Err())
		case <-patience.C:
			return nil, err
		case <-tick.C:
		}
	}
}

// ErrReadOnly is wrapped when a folder cannot be written to.
var ErrReadOnly = errors.New("this data folder cannot be written to; give this user the right to write there, or name another with --data. What is in it can be read")

// Lock takes the folder for writing. The system frees it when the program
// ends, however it ends.
func Lock(dir string) (*flock.Flock, error) {
	if err := durable.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make data folder: %w", err)
	}
	name := filepath.Join(dir, "lock")
	if f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o600); err != nil {
		return nil, fmt.Errorf("%w (%w)", ErrReadOnly, err)
	} else if err := f.Close(); err != nil {
		return nil, fmt.Errorf("lock data folder: %w", err)
	}
	l := flock.New(name, flock.SetPermissions(0o600))
	got, err := l.TryLock()
	if err != nil {
		return nil, fmt.Errorf("lock data folder: %w", err)
	}
	if !got {
		return nil, fmt.Errorf("%w (%s)", ErrInUse, dir)
	}
	return l, nil
}

// held reports whether a program holds the folder. Where that cannot be told, somebody
// may.
func held(dir string) bool {
	l := flock.New(filepath.Join(dir, "lock"), flock.SetFlag(os.O_RDONLY))
	defer l.Close()
	free, err := l.TryRLock()
	return err == nil && !free || err != nil && !errors.Is(err, os.ErrNotExist)
}
