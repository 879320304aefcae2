package sqlitelog

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"runtime"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

var _ journal.Appender = (*DB)(nil)

// pending is one draft on its way to the disk.
type pending struct {
	draft  journal.Draft
	data   jsontext.Value
	photos []journal.Photo
	size   int

	entry *journal.Entry
}

// press is drafts that are written together or not at all.
type press struct {
	list []*pending
	size int

	err  error
	done chan struct{} // closed when err and the entries are set
}

// entries are those of its drafts, in their order.
func (p *press) entries() []*journal.Entry {
	list := make([]*journal.Entry, len(p.list))
	for i, one := range p.list {
		list[i] = one.entry
	}
	return list
}

// plain reports whether one row is all that the draft writes.
func (p *pending) plain() bool { return len(p.photos) == 0 && !teaches(p.draft.Data.Kind()) }

// attributeBytes bounds what the attributes around an entry's data take;
// prefixBytes bounds what each cited log adds.
const (
	attributeBytes = 1024
	prefixBytes    = journal.MaxName + len("/1099511627776/") + 22 + 1
	around         = attributeBytes + journal.MaxAfter*prefixBytes
)

// maxData caps the data of an entry. One that quotes another entry whole has
// room for it.
func maxData(k journal.Kind) int {
	if k == journal.EntryTakenOver {
		return journal.MaxQuotingBytes - around
	}
	return journal.MaxEntryBytes - around
}

// queue holds the drafts that wait for the next transaction.
type queue struct {
	mu   sync.Mutex
	list []*press
}

func (q *queue) put(p *press) {
	q.mu.Lock()
	q.list = append(q.list, p)
	q.mu.Unlock()
}

// take removes as many presses as fit into one segment, at least one.
func (q *queue) take() []*press {
	q.mu.Lock()
	defer q.mu.Unlock()
	n, total := 0, 0
	for n < len(q.list) && (n == 0 || total+q.list[n].size <= journal.MaxSegmentBytes) {
		total += q.list[n].size
		n++
	}
	batch := q.list[:n:n]
	q.list = q.list[n:]
	return batch
}

// Append writes a draft to the own log; see [journal.Appender]. Appends that
// wait for each other share a transaction: whoever gets the lock first
// commits for all that queued meanwhile.
func (db *DB) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	entries, err := db.AppendAll(ctx, []journal.Draft{d})
	if err != nil {
		return nil, err
	}
	return entries[0], nil
}

// AppendAll writes drafts to the own log in their order, all of them or none:
// they share a transaction and a checkpoint. So they have to fit into one
// segment; a *[journal.TooMuch] says that they do not.
func (db *DB) AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error) {
	p := &press{done: make(chan struct{})}
	for _, d := range drafts {
		one, err := db.prepareDraft(ctx, d)
		if err != nil {
			return nil, err
		}
		p.list, p.size = append(p.list, one), p.size+one.size
	}
	switch {
	case len(drafts) == 0:
		return nil, nil
	case len(drafts) > 1 && p.size > journal.MaxSegmentBytes:
		return nil, &journal.TooMuch{Entries: len(drafts), Bytes: p.size}
	}
	db.queue.put(p)
	for {
		select {
		case <-p.done:
			if p.err != nil {
				return nil, p.err
			}
			db.wakes.wake()
			return p.entries(), nil
		case db.writing <- struct{}{}:
			db.commitQueued(context.WithoutCancel(ctx))
			db.writing.Unlock()
		}
	}
}

// commitQueued commits the next batch. When the last one had company, others
// are likely to be on their way: they get the processor first, so that they
// make this batch. writing is held.
func (db *DB) commitQueued(ctx context.Context) {
	if db.company {
		runtime.Gosched()
	}
	presses := db.queue.take()
	db.company = len(presses) > 1
	if len(presses) > 0 {
		db.commit(ctx, presses)
	}
}

// prepareDraft does all that needs no lock.
func (db *DB) prepareDraft(ctx context.Context, d journal.Draft) (*pending, error) {
	if db.signer == nil {
		return nil, errors.New("this data folder has no log of its own; join a shop first")
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := d.Valid(); err != nil {
		return nil, err
	}
	if p, ok := d.Data.(*journal.KeyChange); ok && db.opts.Own == db.opts.Hub {
		keys, err := db.Succession(ctx)
		if err != nil {
			return nil, err
		}
		if keys.Follow(p, nil, journal.MaxLog) == nil { // it would count, and this key signs on
			return nil, errors.New("the hub’s keys are changed with `fettlebook hub change-keys` only")
		}
	}
	return db.draft(ctx, d)
}

// draft makes a draft ready to be written.
func (db *DB) draft(ctx context.Context, d journal.Draft) (*pending, error) {
	if p, ok := d.Data.(*journal.Device); ok {
		if _, err := proof.Verifier(p.LogKey); err != nil {
			return nil, fmt.Errorf("enrol %s: %w", p.Device, err)
		}
	}
	data, err := journal.MarshalPayload(d.Data)
	if err != nil {
		return nil, err
	}
	if most := maxData(d.Data.Kind()); len(data) > most {
		return nil, fmt.Errorf("%s: %d bytes are too many for one entry (%d); split it into several", d.Data.Kind(), len(data), most)
	}
	p := &pending{draft: d, data: data}
	if p.photos, err = (&journal.Entry{Data: data}).Photos(); err != nil {
		return nil, err
	}
	if err := matchThumbs(p.photos, d); err != nil {
		return nil, err
	}
	if err := db.room(len(p.photos) > 0); err != nil {
		return nil, err
	}
	p.size = len(data) + attributeBytes + len(db.citing.get())*prefixBytes
	for _, t := range d.Thumbs {
		p.size += len(t)
	}
	return p, nil
}

// matchThumbs demands the bytes of all thumbnails that are named. Of what is
// quoted a photograph may have been withdrawn since.
func matchThumbs(photos []journal.Photo, d journal.Draft) error {
	have := make(map[media.Ref]bool, len(d.Thumbs))
	for _, t := range d.Thumbs {
		if len(t) == 0 || len(t) > journal.MaxThumbBytes {
			return fmt.Errorf("a thumbnail has %d bytes; it may have 1 to %d", len(t), journal.MaxThumbBytes)
		}
		have[media.Ref(sha256.Sum256(t))] = true
	}
	for _, p := range photos {
		if !have[p.Thumb] && d.Data.Kind() != journal.EntryTakenOver {
			return fmt.Errorf("the thumbnail of photo %s is missing", p.Ref)
		}
	}
	return nil
}

// room refuses before the disk is full: photos first, then entries.
func (db *DB) room(photo bool) error {
	if db.opts.Free == nil {
		return nil
	}
	free, err := db.opts.Free()
	if err != nil {
		return fmt.Errorf("measure free space: %w", err)
	}
	if free < LowForEntries || photo && free < LowForPhotos {
		return fmt.Errorf("%w (%d MiB are free)", journal.ErrDiskLow, free>>20)
	}
	return nil
}

// commit writes presses in one transaction and tells each how it went.
// writing is held.
func (db *DB) commit(ctx context.Context, presses []*press) {
	var batch []*pending
	for _, p := range presses {
		batch = append(batch, p.list...)
	}
	err := db.writeBatch(ctx, batch)
	for _, p := range presses {
		p.err = err
		close(p.done)
	}
}

func (db *DB) writeBatch(ctx context.Context, batch []*pending) error {
	if db.tree == nil {
		if err := db.reload(ctx); err != nil {
			return err
		}
	}
	if db.citing.front == nil {
		if err := db.loadCiting(ctx); err != nil {
			return err
		}
	}
	if db.closed != nil {
		return db.closed
	}
	tree := db.tree.Clone()
	rises, err := db.rises(ctx, db.write, logRow{log: db.own, device: db.opts.Own}, tree.Size())
	if err != nil {
		return err
	}
	if len(batch) == 1 && batch[0].plain() {
		// One statement is a transaction of its own and saves two round trips.
		err = damaged(db.writeOne(ctx, db.write, db.insert, tree, &rises, batch[0], true))
	} else {
		err = inTx(ctx, db.write, func(tx *sql.Tx) error {
			insert := tx.StmtContext(ctx, db.insert)
			for i, p := range batch {
				if err := db.writeOne(ctx, tx, insert, tree, &rises, p, i == len(batch)-1); err != nil {
					return err
				}
			}
			return nil
		})
	}
	if err != nil {
		// A failed commit may have taken hold; the disk knows.
		db.tree = nil
		return fmt.Errorf("append: %w", err)
	}
	first := db.tree.Size()
	db.tree = tree
	entries := make([]*journal.Entry, len(batch))
	for i, p := range batch {
		entries[i] = p.entry
	}
	if db.heard(ctx, logRow{log: db.own, device: db.opts.Own}, first, entries) != nil {
		db.citing.front = nil // it is on the disk all the same; what may be cited is found before the next
	}
	db.rising.rose(db.own, rises)
	return nil
}

// writeOne stamps and stores one entry. The last of a batch carries the
// signed checkpoint.
func (db *DB) writeOne(ctx context.Context, q querier, insert *sql.Stmt, tree *proof.Tree, rises *risen, p *pending, last bool) error {
	e, err := db.stamp(p)
	if err != nil {
		return err
	}
	raw, err := e.Encode()
	if err != nil {
		return err
	}
	at := tree.Size()
	nodes := tree.Append(raw)
	var checkpoint any
	if last {
		signed, err := proof.Sign(db.signer, tree.Size(), tree.Root())
		if err != nil {
			return err
		}
		checkpoint = string(signed)
	}
	var refs []byte
	if len(p.photos) > 0 {
		if refs, err = storePhotos(ctx, q, p.photos, p.draft.Thumbs, 1); err != nil {
			return err
		}
	}
	if _, err := insert.ExecContext(ctx, pos(db.own, at), raw, proof.PackNodes(nodes), refs, checkpoint); err != nil {
		return err
	}
	if err := db.learn(ctx, q, journal.Position{Device: db.opts.Own, Index: at}, rises.next(e), e); err != nil {
		return err
	}
	p.entry = e
	return nil
}

// stamp makes the entry of a draft.
func (db *DB) stamp(p *pending) (*journal.Entry, error) {
	id, err := db.opts.Clock.Next()
	if err != nil {
		return nil, err
	}
	now := db.opts.Now()
	kind := p.draft.Data.Kind()
	return &journal.Entry{
		SpecVersion:     "1.0",
		ID:              id,
		Source:          journal.Source{Shop: db.opts.Shop, Device: db.opts.Own},
		Type:            journal.Type{Kind: kind, Version: kind.Version()},
		Subject:         p.draft.Subject,
		Time:            journal.Stamp(now),
		DataContentType: "application/json",
		By:              p.draft.By,
		Boot:            db.opts.Boot,
		Uptime:          journal.Uptime(max(0, now.Sub(db.opts.Started))), // a wall clock without a monotonic reading may run back
		Seen:            db.seen.get(),
		After:           db.citing.get(),
		Data:            p.data,
	}, nil
}
