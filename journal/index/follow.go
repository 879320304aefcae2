package index

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
)

// Agrees reports whether the index is of these logs: that every log reaches
// to its mark, and has there the entry that was indexed. It is not so when the
// logs come from a backup and the index does not; then [DB.Discard] it.
func (db *DB) Agrees(ctx context.Context, logs journal.Reader) (bool, error) {
	marks, err := db.Marks(ctx)
	if err != nil {
		return false, err
	}
	for _, m := range marks {
		if m.Size == 0 {
			continue
		}
		same := false
		for l, err := range logs.Entries(ctx, m.Device, m.Size-1) {
			if errors.Is(err, journal.ErrNoLog) {
				return false, nil
			}
			if err != nil {
				return false, fmt.Errorf("hold the index against the logs: %w", err)
			}
			var id journal.EntryID
			if e := Read(l).Entry; e != nil {
				id = e.ID
			}
			same = id == m.Last
			break
		}
		if !same {
			return false, nil
		}
	}
	return true, nil
}

// Discard closes the index and deletes it. The next Open begins anew.
func (db *DB) Discard() error { return errors.Join(db.close(), remove(db.path)) }
