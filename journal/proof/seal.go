package proof

import (
	"errors"
	"fmt"

	"fettlebook/journal"

	"golang.org/x/mod/sumdb/tlog"
)

// Seal returns the Merkle root (RFC 6962) over a job's entries in the given
// order. It is what record.sealed states and a receipt shows: no entry can
// be altered, left out, added or moved without another seal.
func Seal(entries [][]byte) [32]byte {
	t := new(Tree)
	for _, e := range entries {
		t.Append(e)
	}
	return t.Root()
}

// ErrSeal is wrapped when entries are not those that were sealed.
var ErrSeal = errors.New("an entry that the seal covers is not as it was when it was sealed")

// CheckSeal holds the entries that a seal covers against its root. leaf gives
// the hash of the entry at a position ([Leaf]), or false if it is not at hand:
// then nothing can be said, and the positions of all such are returned. A seal
// that does not say what it covers cannot be checked here.
func CheckSeal(s *journal.Seal, leaf func(journal.Position) (tlog.Hash, bool)) (missing []journal.Position, err error) {
	t := new(Tree)
	for _, at := range s.Positions() {
		h, ok := leaf(at)
		if !ok {
			missing = append(missing, at)
			continue
		}
		t.AppendHash(h)
	}
	if len(missing) == 0 && t.Root() != tlog.Hash(s.Root) {
		return nil, ErrSeal
	}
	return missing, nil
}

// ProveEntry proves that the entry at an index is in the log of the given
// size. The proof shows no other entry.
func ProveEntry(size, index int64, stored tlog.HashReader) (tlog.RecordProof, error) {
	p, err := tlog.ProveRecord(size, index, stored)
	if err != nil {
		return nil, fmt.Errorf("prove entry %d of %d: %w", index, size, err)
	}
	return p, nil
}

// ErrNotIn is wrapped when a proof does not show the entry to be in the log.
var ErrNotIn = errors.New("this entry is not in the log that the checkpoint signs")

// CheckEntry checks a proof by [ProveEntry] against a verified checkpoint.
func CheckEntry(p tlog.RecordProof, c Checkpoint, index int64, entry []byte) error {
	if err := tlog.CheckRecord(p, c.Size, c.Root, index, tlog.RecordHash(entry)); err != nil {
		return fmt.Errorf("%w: entry %d of %d: %w", ErrNotIn, index, c.Size, err)
	}
	return nil
}
