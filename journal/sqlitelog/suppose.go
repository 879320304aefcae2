package sqlitelog

import (
	"context"
	"errors"

	"fettlebook/journal"
)

// Suppose returns the entry that Append would write of a draft now, without
// writing it, so that what would follow from it can be worked out first. The
// thumbnails of its photos need not be there.
func (db *DB) Suppose(ctx context.Context, d journal.Draft) (journal.Logged, error) {
	if db.signer == nil {
		return journal.Logged{}, errors.New("this data folder has no log of its own; join a shop first")
	}
	if err := d.Valid(); err != nil {
		return journal.Logged{}, err
	}
	data, err := journal.MarshalPayload(d.Data)
	if err != nil {
		return journal.Logged{}, err
	}
	entry, err := db.stamp(&pending{draft: d, data: data})
	if err != nil {
		return journal.Logged{}, err
	}
	raw, err := entry.Encode()
	if err != nil {
		return journal.Logged{}, err
	}
	head, err := db.Head(ctx, db.opts.Own)
	if err != nil {
		return journal.Logged{}, err
	}
	return journal.Logged{Position: journal.Position{Device: db.opts.Own, Index: head.Size}, Bytes: raw}, nil
}
