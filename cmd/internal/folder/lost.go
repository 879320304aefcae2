package folder

import (
	"context"
	"errors"
	"fmt"
	"os"

	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
)

// LostJournal says that a folder's journal is gone, and how to get it back. Nobody begins
// another one there by himself: under the same keys it would be a second history.
type LostJournal struct {
	Dir string
	Identity
	Err error
}

func (e *LostJournal) Error() string {
	what := fmt.Sprintf("the journal of %s is missing or empty (%s); restore the folder from your backup", words.Quoted(e.Name), DatabasePath(e.Dir))
	if e.Role == Hub {
		return what + ". If there is none, `fettlebook hub run --rebuild` makes the journal anew from the message store and from what the tablets bring back"
	}
	return what + ". If there is none, join the shop again in the same folder, with `fettlebook tablet join` and a new invitation: what the hub holds comes back"
}

func (e *LostJournal) Unwrap() error { return e.Err }

// Lost makes of an error of the database what it means for a folder.
func Lost(dir string, id Identity, err error) error {
	if errors.Is(err, sqlitelog.ErrLost) {
		return &LostJournal{Dir: dir, Identity: id, Err: err}
	}
	return err
}

// ErrNotLost is returned when a journal that is here was to be made anew.
var ErrNotLost = errors.New("the journal is here, so nothing is made anew; start the hub without --rebuild")

// Rebuild begins the journal of a hub that lost it. The hub fills it from its message store
// and from its tablets before it writes anything.
func Rebuild(ctx context.Context, dir string, o Options) error {
	f, err := Open(ctx, dir, o)
	if err == nil {
		return errors.Join(ErrNotLost, f.Close())
	}
	var lost *LostJournal
	if !errors.As(err, &lost) || lost.Role != Hub {
		return err
	}
	lock, err := Lock(dir)
	if err != nil {
		return err
	}
	f, err = Found(ctx, dir, lost.Identity, o)
	if err == nil {
		err = f.Close()
	}
	return errors.Join(err, lock.Unlock())
}

// Begin marks a folder as one in which a shop is founded, and clears away what a founding
// left that was cut off. The caller holds the lock.
func Begin(dir string) error {
	if _, err := ReadIdentity(dir); !errors.Is(err, ErrNoFolder) {
		return err
	}
	for _, half := range []string{"", "-wal", "-shm"} {
		if err := os.Remove(DatabasePath(dir) + half); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("clear a half-made journal away: %w", err)
		}
	}
	return WriteIdentity(dir, Identity{Role: Founding})
}
