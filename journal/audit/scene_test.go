package audit_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
	"fettlebook/media/thumb"
)

// The stores give what the audit asks for.
var (
	_ audit.Store     = (*sqlitelog.DB)(nil)
	_ audit.Logs      = (*sqlitelog.DB)(nil)
	_ audit.Photos    = (*sqlitelog.DB)(nil)
	_ audit.Beside    = (*sqlitelog.DB)(nil)
	_ audit.Originals = (*photodir.Dir)(nil)
)

// kept is a data folder as bytes, so that every test spoils a copy of its own.
type kept struct {
	own       journal.DeviceID
	database  []byte
	originals map[media.Ref][]byte
}

// shop is what the tests know of the sample shop: a hub and one tablet, each
// with both logs.
//
// The tablet's log: job.opened, then torque.applied, but a photograph at 3,
// 11, 19 and 27, a corrected entry 5 at 31, and a card at 32. The hub's:
// shop.founded, device.enrolled, person.added, card.written for two cards,
// card.erased for the second of them, and the withdrawal of the photograph at
// 27.
type shop struct {
	hub, tablet  kept
	hubKey       proof.Key
	tabletKey    proof.Key
	cosignKey    proof.Key
	photos       map[int64]journal.Photo // of the tablet's log
	smalls       map[int64][]byte        // their thumbnails
	card, erased journal.CardID          // written by the hub
	mine         journal.CardID          // written by the tablet
}

const (
	office = journaltest.Office
	bench  = journaltest.Bench
	size   = 40 // of the tablet's log
	hubs   = 7  // of the hub's log
)

var built = sync.OnceValues(func() (*shop, error) {
	dir, err := os.MkdirTemp("", "audit")
	if err != nil {
		return nil, err
	}
	s, err := build(context.Background(), dir)
	return s, errors.Join(err, os.RemoveAll(dir))
})

func theShop(t testing.TB) *shop {
	t.Helper()
	s, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// builder makes the shop; its first error stays.
type builder struct {
	*shop
	ctx   context.Context
	watch *journaltest.Watch
	err   error
}

func (b *builder) do(err error) { b.err = errors.Join(b.err, err) }

func build(ctx context.Context, dir string) (*shop, error) {
	b := &builder{shop: &shop{photos: map[int64]journal.Photo{}, smalls: map[int64][]byte{}, card: "c7w1m3e9", erased: "d8x2n4f0", mine: "e9y3p5g1"},
		ctx: ctx, watch: journaltest.NewWatch(journaltest.Morning())}
	b.hubKey = b.key(proof.Origin(journaltest.Shop, office))
	b.tabletKey = b.key(proof.Origin(journaltest.Shop, bench))
	b.cosignKey = b.key(proof.CosignerName(journaltest.Shop))
	if b.err != nil {
		return nil, b.err
	}
	hub, hubPhotos := b.open(filepath.Join(dir, "hub"), office, b.hubKey)
	tablet, tabletPhotos := b.open(filepath.Join(dir, "tablet"), bench, b.tabletKey)
	if b.err != nil {
		return nil, b.err
	}
	b.found(hub)
	b.carry(hub, tablet, office)
	b.copyCards(hub, tablet)
	b.work(tablet, tabletPhotos, hub)
	b.countersign(hub, office)
	b.carry(hub, tablet, office)
	for _, p := range b.photos {
		if p.Ref != b.photos[3].Ref && p.Ref != b.photos[27].Ref { // one has not come to the hub
			b.copyOriginal(tabletPhotos, hubPhotos, p.Ref)
			b.do(hub.Confirm(ctx, p.Ref, b.watch.Now()))
			b.do(tablet.Confirm(ctx, p.Ref, b.watch.Now()))
		}
	}
	b.hub = b.keep(hub, filepath.Join(dir, "hub"), office)
	b.tablet = b.keep(tablet, filepath.Join(dir, "tablet"), bench)
	return b.shop, b.err
}

func (b *builder) key(name string) proof.Key {
	k, err := proof.NewKey(journaltest.Rand(name), name)
	b.do(err)
	return k
}

func (b *builder) open(dir string, own journal.DeviceID, key proof.Key) (*sqlitelog.DB, *photodir.Dir) {
	b.do(os.MkdirAll(dir, 0o700))
	db, err := sqlitelog.Open(b.ctx, filepath.Join(dir, "journal.db"), sqlitelog.Options{
		Shop: journaltest.Shop, Own: own, Key: key, Hub: office, HubKey: b.hubKey.Verifier(), Boot: "5c0e1d7a",
		Clock: journal.NewClock(b.watch.Now, journaltest.Rand(string(own))), Now: b.watch.Now, Started: b.watch.Now().Add(-time.Hour),
	})
	b.do(err)
	photos, err := photodir.Open(filepath.Join(dir, "photos"))
	b.do(err)
	return db, photos
}

func (b *builder) append(db *sqlitelog.DB, about journal.Subject, data journal.Payload, thumbs ...[]byte) *journal.Entry {
	b.watch.Advance(37 * time.Second)
	if b.err != nil {
		return nil
	}
	e, err := db.Append(b.ctx, journal.Draft{Subject: about, By: journaltest.Io, Data: data, Thumbs: thumbs})
	b.do(err)
	return e
}

// found writes the hub's log and countersigns it.
func (b *builder) found(hub *sqlitelog.DB) {
	of := journal.Of("shop", string(journaltest.Shop))
	founded := b.append(hub, of, &journal.Shop{Shop: journaltest.Shop, Name: "Pin Bore Works", LogKey: b.hubKey.Verifier(), CosignKey: b.cosignKey.Verifier()})
	if b.err != nil {
		return
	}
	b.append(hub, journal.Of("device", string(bench)), &journal.Device{Device: bench, Name: "bench 2", LogKey: b.tabletKey.Verifier(), ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO", Invitation: founded.ID})
	b.append(hub, journal.Of("person", "io"), &journal.Person{Person: journaltest.Io, Initials: "IO"})
	b.writeCard(hub, b.card, "A. Customer")
	b.writeCard(hub, b.erased, "B. Customer")
	b.append(hub, journal.Of("card", string(b.erased)), &journal.CardErasing{Card: b.erased, Reason: "asked for it"})
	b.countersign(hub, office)
}

func (b *builder) writeCard(db *sqlitelog.DB, id journal.CardID, name string) {
	c, err := journal.NewCard(id, journal.Details{Name: name, Phone: "555 0100"}, journaltest.Rand(name))
	b.do(err)
	to, err := c.Commitment()
	b.do(err)
	e := b.append(db, journal.Of("card", string(id)), &journal.CardWriting{Card: id, Commitment: to})
	if b.err != nil {
		return
	}
	c.Written = e.ID
	b.do(db.SaveCard(b.ctx, journal.CardState{Card: c, Changed: e.ID}))
}

// work writes the tablet's log, in three rounds that the hub takes in.
func (b *builder) work(tablet *sqlitelog.DB, photos *photodir.Dir, hub *sqlitelog.DB) {
	var entries []*journal.Entry
	for i := range int64(size) {
		entries = append(entries, b.workOne(hub, tablet, photos, i, entries))
		if b.err != nil {
			return
		}
		if i%13 == 12 || i == size-1 {
			b.carry(tablet, hub, bench)
			b.countersign(hub, bench)
			b.carry(hub, tablet, office)
			b.receipts(hub, tablet, bench)
		}
	}
}

func (b *builder) workOne(hub, tablet *sqlitelog.DB, photos *photodir.Dir, i int64, before []*journal.Entry) *journal.Entry {
	job := journal.About(journaltest.JobOne, "", "")
	switch i {
	case 0:
		return b.append(tablet, job, minimal(journal.JobOpened))
	case 3, 11, 19, 27:
		p, small := b.snap(photos, uint64(i))
		b.photos[i], b.smalls[i] = p, small
		return b.append(tablet, job, &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{p}}}, small)
	case 30:
		ref := b.photos[27].Ref
		b.do(photos.Remove(b.ctx, ref))
		b.append(hub, job, &journal.Withdrawal{Photo: ref, Reason: "shows a face"})
		b.carry(hub, tablet, office)
	case 31:
		return b.append(tablet, job, &journal.Correction{Of: before[5].ID, Reason: "wrong corner"})
	case 32:
		b.writeCard(tablet, b.mine, "C. Customer")
		return nil
	}
	return b.append(tablet, journal.About(journaltest.JobOne, "LF", "caliper"), &journal.Remark{Evidence: journal.Evidence{Note: "tightened and marked, the guide pins move freely"}})
}

func (b *builder) snap(photos *photodir.Dir, seed uint64) (journal.Photo, []byte) {
	raw := mediatest.JPEG(mediatest.Noise(64, 48, seed), 85, nil)
	p, err := media.Receive(b.ctx, photos, bytes.NewReader(raw), media.DefaultLimits())
	b.do(err)
	small, _, err := thumb.FromOriginal(b.ctx, photos, p)
	b.do(err)
	return journal.Photo{Ref: p.Ref, Thumb: small.Ref, Role: "masked bores"}, small.Bytes
}

// carry takes a log from one machine to the other.
func (b *builder) carry(from, to *sqlitelog.DB, device journal.DeviceID) {
	if b.err != nil {
		return
	}
	have, err := to.Head(b.ctx, device)
	b.do(err)
	s, err := from.Segment(b.ctx, device, have.Size, journal.MaxSegmentBytes)
	b.do(err)
	if len(s.Entries) > 0 {
		_, err = to.Receive(b.ctx, s)
		b.do(err)
	}
	b.receipts(from, to, device)
}

// receipts takes countersignatures from the hub to the tablet.
func (b *builder) receipts(from, to *sqlitelog.DB, device journal.DeviceID) {
	last, err := to.LastCountersigned(b.ctx, device)
	b.do(err)
	list, err := from.CountersignedSince(b.ctx, device, last.Size, 100)
	b.do(err)
	for _, c := range list {
		b.do(to.SaveCountersigned(b.ctx, c))
	}
}

func (b *builder) countersign(hub *sqlitelog.DB, device journal.DeviceID) {
	if b.err != nil {
		return
	}
	head, err := hub.Head(b.ctx, device)
	b.do(err)
	key := b.tabletKey
	if device == office {
		key = b.hubKey
	}
	v, err := proof.Verifier(key.Verifier())
	b.do(err)
	c, err := proof.Open(head.Checkpoint, v)
	b.do(err)
	at := b.watch.Now().Truncate(time.Second)
	signed, err := proof.Countersign(c, v, b.cosignKey.Cosigner(func() time.Time { return at }))
	b.do(err)
	b.do(hub.SaveCountersigned(b.ctx, journal.Countersigned{Device: device, Size: c.Size, At: at, Note: signed}))
}

// copyCards takes the customer cards along. The tablet's own stays behind.
func (b *builder) copyCards(from, to *sqlitelog.DB) {
	list, err := from.CardsSince(b.ctx, 0)
	b.do(err)
	for _, c := range list {
		b.do(to.SaveCard(b.ctx, c))
	}
}

func (b *builder) copyOriginal(from, to *photodir.Dir, ref media.Ref) {
	f, _, err := from.Open(b.ctx, ref)
	b.do(err)
	if err != nil {
		return
	}
	defer f.Close()
	_, err = media.Receive(b.ctx, to, f, media.DefaultLimits())
	b.do(err)
}

// keep closes a folder and takes it into memory.
func (b *builder) keep(db *sqlitelog.DB, dir string, own journal.DeviceID) kept {
	k := kept{own: own, originals: map[media.Ref][]byte{}}
	b.do(db.Shred(b.ctx))
	b.do(db.Close())
	raw, err := os.ReadFile(filepath.Join(dir, "journal.db"))
	b.do(err)
	k.database = raw
	photos, err := photodir.Open(filepath.Join(dir, "photos"))
	b.do(err)
	for ref, err := range photos.All(b.ctx) {
		b.do(err)
		raw, err := os.ReadFile(filepath.Join(dir, "photos", ref.Hex()[:2], ref.Hex()))
		b.do(err)
		k.originals[ref] = raw
	}
	return k
}

// copied is a copy of a folder on the disk.
type copied struct {
	*shop
	dir string
	own journal.DeviceID
}

// lay puts a copy of a folder on the disk.
func (s *shop) lay(t testing.TB, dir string, k kept) *copied {
	t.Helper()
	c := &copied{s, dir, k.own}
	for _, behind := range []string{"-wal", "-shm"} { // of an earlier copy
		if err := os.RemoveAll(c.database() + behind); err != nil {
			t.Fatal(err)
		}
	}
	put(t, c.database(), k.database)
	for ref, raw := range k.originals {
		put(t, c.original(ref), raw)
	}
	return c
}

func put(t testing.TB, path string, raw []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}

func (c *copied) database() string { return filepath.Join(c.dir, "journal.db") }

func (c *copied) original(ref media.Ref) string {
	return filepath.Join(c.dir, "photos", ref.Hex()[:2], ref.Hex())
}

// with opens the folder and hands it over as the audit needs it. Its error is
// of a database that is not opened at all.
func (c *copied) with(t testing.TB, use func(audit.Sources)) error {
	t.Helper()
	db, err := sqlitelog.OpenToInspect(t.Context(), c.database())
	if err != nil {
		return err
	}
	defer db.Close()
	photos, err := photodir.Open(filepath.Join(c.dir, "photos"))
	if err != nil {
		t.Fatal(err)
	}
	use(audit.Sources{
		Shop: journaltest.Shop, Own: []journal.DeviceID{c.own}, Hub: office,
		HubKey: c.hubKey.Verifier(), CosignKey: c.cosignKey.Verifier(),
		Store: db, Logs: db, Photos: db, Beside: db, Originals: photos,
	})
	return nil
}

func (c *copied) audit(t testing.TB) audit.Report {
	t.Helper()
	r, err := c.tryAudit(t)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (c *copied) tryAudit(t testing.TB) (r audit.Report, err error) {
	opened := c.with(t, func(s audit.Sources) { r, err = audit.Run(t.Context(), s, nil) })
	return r, errors.Join(opened, err)
}

// tamper changes the database behind the program's back: the triggers are
// dropped, and put back as they were.
func (c *copied) tamper(t testing.TB, change func(*sql.Tx) error) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+c.database())
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	tx, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	defer tx.Rollback()
	var drop, restore string
	if err := tx.QueryRow(`SELECT group_concat('DROP TRIGGER ' || name, ';'), group_concat(sql, ';') FROM sqlite_schema WHERE type = 'trigger'`).Scan(&drop, &restore); err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(drop); err != nil {
		t.Fatal(err)
	}
	if err := change(tx); err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(restore); err != nil {
		t.Fatal(err)
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
}

// minimal is the leanest data of a kind.
func minimal(kind journal.Kind) journal.Payload {
	for _, d := range journaltest.Minimal() {
		if d.Data.Kind() == kind {
			return d.Data
		}
	}
	return nil
}
