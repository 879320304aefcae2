package sqlitelog

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
)

// markKeys begins the mark that lists where in the hub's log its keys were
// changed: "412 980". It is set in the transaction that stores the change.
const markKeys = "keys/"

// changesOf lists the places of the changes of keys in a log, as far as they
// counted.
func changesOf(ctx context.Context, q querier, device journal.DeviceID) ([]int64, error) {
	text, err := mark(ctx, q, markKeys+string(device))
	if err != nil {
		return nil, err
	}
	var list []int64
	for _, word := range strings.Fields(text) {
		n, err := strconv.ParseInt(word, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%w: the mark of the hub’s keys is %.40q", ErrDamaged, text)
		}
		list = append(list, n)
	}
	return list, nil
}

// entryAt reads an entry.
func entryAt(ctx context.Context, q querier, log, at int64) (*journal.Entry, error) {
	var raw []byte
	if err := q.QueryRowContext(ctx, `SELECT bytes FROM entries WHERE pos = ?`, pos(log, at)).Scan(&raw); err != nil {
		return nil, fmt.Errorf("read entry %d: %w", at, damaged(err))
	}
	e, err := journal.Decode(raw)
	if err != nil {
		return nil, fmt.Errorf("%w: entry %d: %w", ErrDamaged, at, err)
	}
	return e, nil
}

// Succession is the hub's keys as far as the hub's log is here, beginning with
// those that founded the shop.
func (db *DB) Succession(ctx context.Context) (proof.Succession, error) {
	return db.succession(ctx, db.read, journal.MaxLog)
}

// succession goes by the changes before an index of the hub's log.
func (db *DB) succession(ctx context.Context, q querier, before int64) (proof.Succession, error) {
	founded := proof.Founded(db.opts.Shop, db.opts.Hub, db.opts.HubKey, db.opts.CosignKey)
	founded.Agreed = db.agreed.has
	return succeed(ctx, q, founded, before)
}

// agreed is which keys of the hub count here though the old ones did not sign
// them.
type agreed struct {
	mu   sync.Mutex
	list []journal.Digest
}

func (a *agreed) has(keys journal.Digest) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	return slices.Contains(a.list, keys)
}

// Agree has keys of the hub count from now on though the old ones did not sign
// them, as Options.Agreed does from the start.
func (db *DB) Agree(keys journal.Digest) {
	db.agreed.mu.Lock()
	defer db.agreed.mu.Unlock()
	db.agreed.list = append(db.agreed.list, keys)
}

// SuccessionOf is [DB.Succession] of a database that is only read: who the hub
// is and which keys founded its shop is given.
func (db *DB) SuccessionOf(ctx context.Context, founded proof.Succession) (proof.Succession, error) {
	return succeed(ctx, db.read, founded, journal.MaxLog)
}

func succeed(ctx context.Context, q querier, s proof.Succession, before int64) (proof.Succession, error) {
	agreed := s.Agreed
	s.Agreed = proof.Told // what is listed was judged when it came
	s, err := recall(ctx, q, s, before)
	s.Agreed = agreed
	return s, err
}

func recall(ctx context.Context, q querier, s proof.Succession, before int64) (proof.Succession, error) {
	list, err := changesOf(ctx, q, s.Hub)
	if err != nil || len(list) == 0 {
		return s, err
	}
	row, err := findLog(ctx, q, s.Hub)
	if err != nil {
		return s, err
	}
	for _, at := range list {
		if at >= before {
			break
		}
		e, err := entryAt(ctx, q, row.log, at)
		if err != nil {
			return s, err
		}
		if err := s.Add(e, at); err != nil {
			return s, fmt.Errorf("%w: %w", ErrDamaged, err)
		}
	}
	return s, nil
}

// KeyAt returns the verifier key that signs the state of a device's log of a
// size: of the hub's log it is that of the time.
func (db *DB) KeyAt(ctx context.Context, device journal.DeviceID, size int64) (string, error) {
	return keyAt(ctx, db.read, device, size)
}

func keyAt(ctx context.Context, q querier, device journal.DeviceID, size int64) (string, error) {
	row, err := findLog(ctx, q, device)
	if err != nil {
		return "", err
	}
	list, err := changesOf(ctx, q, device)
	if err != nil {
		return "", err
	}
	for _, at := range slices.Backward(list) {
		if at >= size {
			continue
		}
		e, err := entryAt(ctx, q, row.log, at)
		if err != nil {
			return "", err
		}
		payload, err := e.Payload()
		if p, ok := payload.(*journal.KeyChange); err == nil && ok {
			return p.LogKey, nil
		}
		return "", fmt.Errorf("%w: entry %d of the hub’s log does not change its keys", ErrDamaged, at)
	}
	return row.key, nil
}

// signedBy returns the key that signs a segment. Of the hub's log that is the
// one of its end: the changes before it are known here, those in it are signed
// by the keys before them and counted already.
func (db *DB) signedBy(ctx context.Context, tx *sql.Tx, row logRow, s journal.Segment) (string, error) {
	if row.device != db.opts.Hub || row.key == "" {
		return row.key, nil
	}
	keys, err := db.succession(ctx, tx, s.First)
	if err != nil {
		return "", err
	}
	for i, raw := range s.Entries {
		if !bytes.Contains(raw, []byte(`"`+string(journal.KeysChanged)+"/")) {
			continue
		}
		if e, err := journal.Decode(raw); err == nil {
			if err := keys.Add(e, s.First+int64(i)); err != nil {
				continue // it changes nothing
			}
		}
	}
	return keys.At(s.End()).Log, nil
}

// learnKeys takes in a change of the hub's keys that lies at an index of its
// log: what its old keys countersigned beyond it is not good any more and goes
// to the quarantine.
func (db *DB) learnKeys(ctx context.Context, q querier, at int64, e *journal.Entry) error {
	keys, err := db.succession(ctx, q, at)
	if err != nil {
		return err
	}
	if errors.Is(keys.Add(e, at), proof.ErrKeyChange) {
		return nil // it is kept, and changes nothing
	}
	list, err := changesOf(ctx, q, db.opts.Hub)
	if err != nil || slices.Contains(list, at) {
		return err
	}
	var text []string
	for _, n := range append(list, at) {
		text = append(text, strconv.FormatInt(n, 10))
	}
	if err := setMark(ctx, q, markKeys+string(db.opts.Hub), strings.Join(text, " ")); err != nil {
		return err
	}
	return db.dropReplaced(ctx, q, keys.Now())
}

const replacedReceipt = "countersigned with keys that the hub had replaced by then"

// dropReplaced takes the countersignatures away that lie behind what a change
// of keys had seen. The hub signs those states anew.
func (db *DB) dropReplaced(ctx context.Context, q querier, now proof.Reign) error {
	logs, err := logRows(ctx, q)
	if err != nil {
		return err
	}
	at := time.Time(now.Entry.Time).Unix()
	for _, l := range logs {
		most := now.Seen(l.device).Size
		if l.device == db.opts.Hub {
			most = now.Since
		}
		_, err := q.ExecContext(ctx, `INSERT INTO quarantine (at, device, reason, bytes)
			SELECT ?, ?, ?, CAST(note AS BLOB) FROM countersigned WHERE log = ? AND size > ?`, at, string(l.device), replacedReceipt, l.log, most)
		if err == nil {
			_, err = q.ExecContext(ctx, `DELETE FROM countersigned WHERE log = ? AND size > ?`, l.log, most)
		}
		if err != nil {
			return fmt.Errorf("take countersignatures back: %w", damaged(err))
		}
	}
	return nil
}

// Countersignature verifies a countersigned state of a log by the keys of the
// device and of the hub at its place.
func (db *DB) Countersignature(ctx context.Context, device journal.DeviceID, signed []byte) (journal.Countersigned, error) {
	keys, err := db.Succession(ctx)
	if err != nil {
		return journal.Countersigned{}, err
	}
	row, err := findLog(ctx, db.read, device)
	if err != nil {
		return journal.Countersigned{}, err
	}
	c, at, _, err := keys.Open(signed, device, row.key)
	return journal.Countersigned{Device: device, Size: c.Size, At: at, Note: signed}, err
}

// Unseen lists the countersigned states of those logs that an entry would not
// cite now, since the register closed them: a change of keys states them.
func (db *DB) Unseen(ctx context.Context) (journal.After, error) {
	logs, err := logRows(ctx, db.read)
	if err != nil {
		return nil, err
	}
	cited := db.citing.get()
	var list journal.After
	for _, l := range logs {
		if l.device == db.opts.Own || cited.Of(l.device).Size > 0 {
			continue
		}
		c, err := db.LastCountersigned(ctx, l.device)
		if err != nil {
			return nil, err
		}
		if c.Size == 0 {
			continue
		}
		root, err := db.RootAt(ctx, l.device, c.Size)
		if err != nil {
			return nil, err
		}
		list = append(list, journal.Prefix{Device: l.device, Size: c.Size, Root: [16]byte(root[:16])})
	}
	return list, nil
}

// ChangeKeys writes a change of the hub's keys and goes on with the new one:
// the state that covers the change is the first that the new key signs. Either
// both are on the disk or neither is. After an error nobody knows which; open
// the database again to find out.
func (db *DB) ChangeKeys(ctx context.Context, d journal.Draft, next proof.Key) (*journal.Entry, error) {
	change, ok := d.Data.(*journal.KeyChange)
	if !ok || db.opts.Own != db.opts.Hub || change.LogKey != next.Verifier() {
		return nil, errors.New("change keys: only the hub changes the key of its own log, to the one that the entry names")
	}
	one, err := db.draft(ctx, d)
	if err != nil {
		return nil, err
	}
	if change.Unsigned() {
		db.Agree(change.New())
	}
	db.writing.Lock()
	defer db.writing.Unlock()
	if db.tree == nil {
		if err := db.reload(ctx); err != nil {
			return nil, err
		}
	}
	if errors.Is(db.closed, ErrOtherKeys) { // which is what is changed
		db.closed = nil
	}
	before, signer := db.opts.Key, db.signer
	db.opts.Key, db.signer = next, next.Signer()
	if err := db.writeBatch(context.WithoutCancel(ctx), []*pending{one}); err != nil {
		db.opts.Key, db.signer = before, signer
		return nil, err
	}
	db.wakes.wake()
	return one.entry, nil
}

// ErrOtherKeys is wrapped when the hub's log goes on with other keys than those
// in its folder.
var ErrOtherKeys = errors.New("the keys in this folder are not those with which the hub’s log goes on; put back the keys of your newest backup, nothing is written until then")

// mayGoOn says why the own log cannot be written with the key that is here.
func (db *DB) mayGoOn(ctx context.Context, row logRow, n int64) error {
	key, err := keyAt(ctx, db.write, db.opts.Own, n+1)
	switch {
	case err != nil:
		return err
	case key == db.opts.Key.Verifier():
		return nil
	case db.opts.Own != db.opts.Hub || row.key == "":
		return fmt.Errorf("the signing key is not the one that began the log of %s; restore the key file from your backup or join the shop again", db.opts.Own)
	}
	db.closed = ErrOtherKeys // a hub that lost its log has the change still to come back
	return nil
}
