package sqlitelog

import (
	"context"

	"fettlebook/journal"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// Prove proves that the entries at some positions of a log are among its first
// ones, so many. What it says is checked with [proof.CheckEntry] against a
// checkpoint of that size; until then it is only what lies in the database.
func (db *DB) Prove(ctx context.Context, device journal.DeviceID, size int64, at []int64) ([]tlog.RecordProof, error) {
	stored, err := db.Hashes(ctx, device)
	if err != nil {
		return nil, err
	}
	list := make([]tlog.RecordProof, len(at))
	for i, index := range at {
		if list[i], err = proof.ProveEntry(size, index, stored); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// Hashes reads the tree hashes of a log as they lie in the database, for proofs
// of several kinds. Each is read once. It is not safe for concurrent use.
func (db *DB) Hashes(ctx context.Context, device journal.DeviceID) (tlog.HashReader, error) {
	row, err := findLog(ctx, db.read, device)
	if err != nil {
		return nil, err
	}
	return &remembered{of: hashes{ctx, db.read, row.log}, hashes: make(map[int64]tlog.Hash)}, nil
}

// remembered reads each hash once: the proofs of neighbours share most of
// theirs.
type remembered struct {
	of     tlog.HashReader
	hashes map[int64]tlog.Hash
}

// ReadHashes implements [tlog.HashReader].
func (r *remembered) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		h, ok := r.hashes[x]
		if !ok {
			read, err := r.of.ReadHashes([]int64{x})
			if err != nil {
				return nil, err
			}
			h = read[0]
			r.hashes[x] = h
		}
		out[i] = h
	}
	return out, nil
}
