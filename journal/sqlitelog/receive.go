package sqlitelog

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"
)

var _ journal.Receiver = (*DB)(nil)

// Receive takes in a segment; see [journal.Receiver]. It also takes back
// entries of the own log that the shop holds and this database lost.
//
// The check: the tree over what lies here before the segment, grown by the
// segment's entries, must have the root that the device signed. So neither a
// byte of the segment nor the history before it can differ. Entries that lie
// here already must be the same; if the signed tree says otherwise, the
// device has shown two histories.
func (db *DB) Receive(ctx context.Context, s journal.Segment) (journal.Head, error) {
	return db.ReceiveAll(ctx, []journal.Segment{s})
}

// ReceiveAll takes in segments of one log that follow each other, all of them or none,
// in one transaction.
func (db *DB) ReceiveAll(ctx context.Context, list []journal.Segment) (journal.Head, error) {
	if len(list) == 0 {
		return journal.Head{}, errors.New("receive: no segments")
	}
	if err := db.room(false); err != nil {
		return journal.Head{}, err
	}
	db.writing.Lock()
	defer db.writing.Unlock()
	row, err := findLog(ctx, db.write, list[0].Device)
	if err != nil {
		return journal.Head{}, err
	}
	var head journal.Head
	var taken taken
	err = inTx(ctx, db.write, func(tx *sql.Tx) error {
		for _, s := range list {
			if s.Device != row.device {
				return fmt.Errorf("a segment of log %s beside one of %s", s.Device, row.device)
			}
			if head, err = db.receive(ctx, tx, row, s, &taken); err != nil {
				return err
			}
		}
		return db.markTaken(ctx, tx, row, &taken)
	})
	if row.device == db.opts.Own && db.tree != nil && (err != nil || head.Size != db.tree.Size()) {
		db.tree = nil // read anew before the next append
	}
	if err != nil {
		return journal.Head{}, fmt.Errorf("receive: %w", err)
	}
	if db.signer != nil && len(taken.entries) > 0 {
		// What is on the disk was seen, whoever is stopped now.
		if err := db.heard(context.WithoutCancel(ctx), row, taken.first, taken.entries); err != nil {
			return journal.Head{}, fmt.Errorf("receive: %w", err)
		}
	}
	db.rising.rose(row.log, taken.rises)
	db.wakes.wake()
	return head, nil
}

// taken is what is new of segments; an entry is nil for bytes that are none.
// rises is what is known of the log with it.
type taken struct {
	first   int64
	entries []*journal.Entry
	rises   risen
}

func (db *DB) receive(ctx context.Context, tx *sql.Tx, row logRow, s journal.Segment, new *taken) (journal.Head, error) {
	have, err := size(ctx, tx, row.log)
	if err != nil {
		return journal.Head{}, err
	}
	if s.First > have {
		return journal.Head{}, &journal.Gap{Device: s.Device, Size: have, First: s.First}
	}
	grown, err := db.verify(ctx, tx, row, s)
	if err != nil {
		return journal.Head{}, err
	}
	if err := db.agree(ctx, tx, row, s, have); err != nil {
		return journal.Head{}, err
	}
	if s.End() <= have {
		return head(ctx, tx, row)
	}
	if len(new.entries) == 0 { // what comes after the first is not on the disk yet, so only new knows it
		new.first = have
		if new.rises, err = db.rises(ctx, tx, row, have); err != nil {
			return journal.Head{}, err
		}
	}
	list, err := db.store(ctx, tx, row, s, have, grown, &new.rises)
	if err != nil {
		return journal.Head{}, err
	}
	new.entries = append(new.entries, list...)
	return journal.Head{Device: s.Device, Size: s.End(), Checkpoint: s.Checkpoint}, nil
}

// markTaken notes what the marks are to know of what was taken in.
func (db *DB) markTaken(ctx context.Context, tx *sql.Tx, row logRow, new *taken) error {
	if len(new.entries) == 0 {
		return nil
	}
	if err := saveRisen(ctx, tx, row, new.rises); err != nil {
		return err
	}
	if c := &db.citing; c.front != nil {
		return c.saveClosed(ctx, tx, c.front)
	}
	return nil
}

// verify checks the signature and the tree, and returns the packed hashes of
// each of the segment's leaves.
func (db *DB) verify(ctx context.Context, tx *sql.Tx, row logRow, s journal.Segment) ([][]byte, error) {
	unproven := func(format string, args ...any) error {
		return &journal.Unproven{Device: s.Device, Reason: fmt.Sprintf(format, args...)}
	}
	text, err := db.signedBy(ctx, tx, row, s)
	if err != nil {
		return nil, err
	}
	key, err := proof.Verifier(text)
	if err != nil {
		return nil, unproven("no key of the device is known here")
	}
	c, err := proof.Open(s.Checkpoint, key)
	if err != nil {
		return nil, unproven("%v", err)
	}
	if c.Size != s.End() || len(s.Entries) == 0 || s.First < 0 {
		return nil, unproven("it holds entries %d to %d and its checkpoint is of size %d", s.First, s.End(), c.Size)
	}
	tree, err := proof.LoadTree(s.First, hashes{ctx, tx, row.log})
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	nodes := make([][]byte, len(s.Entries))
	for i, raw := range s.Entries {
		if len(raw) == 0 || len(raw) > journal.MaxQuotingBytes {
			return nil, unproven("entry %d has %d bytes", s.First+int64(i), len(raw))
		}
		nodes[i] = proof.PackNodes(tree.Append(raw))
	}
	if tree.Root() != c.Root {
		return nil, unproven("its entries and the history here do not give the root that the device signed")
	}
	for ref, t := range s.Thumbs {
		if media.Ref(sha256.Sum256(t)) != ref || len(t) > journal.MaxThumbBytes {
			return nil, unproven("thumbnail %s is not what its name says", ref)
		}
	}
	return nodes, nil
}

// agree compares the overlap with what lies here. Both are signed, so a
// difference is a fork.
func (db *DB) agree(ctx context.Context, tx *sql.Tx, row logRow, s journal.Segment, have int64) error {
	for i := s.First; i < min(have, s.End()); i++ {
		var held []byte
		if err := tx.QueryRowContext(ctx, `SELECT bytes FROM entries WHERE pos = ?`, pos(row.log, i)).Scan(&held); err != nil {
			return fmt.Errorf("compare entry %d: %w", i, err)
		}
		if !bytes.Equal(held, s.Entries[i-s.First]) {
			h, err := head(ctx, tx, row)
			if err != nil {
				return err
			}
			return &journal.Fork{Device: s.Device, Held: h.Checkpoint, Shown: s.Checkpoint, Common: i}
		}
	}
	return nil
}

// store inserts what is new and returns it.
func (db *DB) store(ctx context.Context, tx *sql.Tx, row logRow, s journal.Segment, have int64, nodes [][]byte, rises *risen) (list []*journal.Entry, err error) {
	insert := tx.StmtContext(ctx, db.insert)
	own := 0
	if row.device == db.opts.Own {
		own = 1
	}
	for i := have; i < s.End(); i++ {
		raw := s.Entries[i-s.First]
		var checkpoint any
		if i == s.End()-1 {
			checkpoint = string(s.Checkpoint)
		}
		// Bytes that are not an entry to this version are the device's signed
		// word all the same: they are kept, and the record shows them.
		var refs []byte
		e, err := journal.Decode(raw)
		if err == nil {
			db.follow(row.device, e.ID)
			if refs, err = storeForeign(ctx, tx, e, s.Thumbs, own); err != nil {
				return nil, err
			}
		}
		if _, err := insert.ExecContext(ctx, pos(row.log, i), raw, nodes[i-s.First], refs, checkpoint); err != nil {
			return nil, fmt.Errorf("store entry %d: %w", i, err)
		}
		list = append(list, e)
		if falls := rises.next(e); e != nil {
			if err := db.learn(ctx, tx, journal.Position{Device: row.device, Index: i}, falls, e); err != nil {
				return nil, err
			}
		}
	}
	return list, nil
}

// storeForeign stores the photos of a received entry with the thumbnails
// that came along. A withdrawn photo's thumbnail comes no more.
func storeForeign(ctx context.Context, q querier, e *journal.Entry, thumbs map[media.Ref][]byte, own int) ([]byte, error) {
	photos, err := e.Photos()
	if err != nil || len(photos) == 0 {
		return nil, nil
	}
	var here [][]byte
	for _, p := range photos {
		if t, ok := thumbs[p.Thumb]; ok {
			here = append(here, t)
		}
	}
	return storePhotos(ctx, q, photos, here, own)
}
