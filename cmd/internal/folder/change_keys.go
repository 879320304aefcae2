package folder

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/durable"
)

// NextKeys are the keys with which a hub is to go on.
type NextKeys struct {
	proof.HubKeys
	CertPEM, CertKeyPEM []byte
	Fingerprint         string // of that certificate
}

// nextKeys is the folder in keys/ in which new keys lie until they are the
// hub's. Whether they are the hub's log says: so a change that is cut off at
// any moment leaves the old keys or the new ones, whole.
//
//	write the new keys to keys/next
//	write keys.changed, and with it the first state that the new key signs
//	copy keys/next over keys/, write shop.json, remove keys/next
const nextKeys = "next"

// keyFiles are the files that change, the log key last: with it they are whole.
func keyFiles() []string { return []string{CosignKey, CertFile, CertKey, LogKey} }

func (n *NextKeys) text(file string) []byte {
	switch file {
	case CosignKey:
		return []byte(n.Cosign.Secret())
	case CertFile:
		return n.CertPEM
	case CertKey:
		return n.CertKeyPEM
	default:
		return []byte(n.Log.Secret())
	}
}

// ChangeKeys has the hub of this folder go on with other keys, which those
// from before sign. No other program may hold the folder.
func (f *Folder) ChangeKeys(ctx context.Context, because journal.KeyReason, by journal.PersonID, next NextKeys) (*journal.KeyChange, error) {
	return f.changeKeys(ctx, because, by, next, func(string) error { return nil })
}

// changeKeys calls at before each step, with its name; a test ends it there.
func (f *Folder) changeKeys(ctx context.Context, because journal.KeyReason, by journal.PersonID, next NextKeys, at func(step string) error) (*journal.KeyChange, error) {
	var old proof.HubKeys
	var err error
	if old.Log, err = ReadProofKey(f.Dir, LogKey); err != nil {
		return nil, err
	}
	if old.Cosign, err = ReadProofKey(f.Dir, CosignKey); err != nil {
		return nil, err
	}
	p := &journal.KeyChange{Because: because, Certificate: next.Fingerprint}
	if p.Held, err = f.Log.Unseen(ctx); err != nil {
		return nil, err
	}
	proof.SignKeyChange(p, f.Shop, f.Device, old, next.HubKeys)
	for _, file := range keyFiles() {
		if err := at("write " + file); err != nil {
			return nil, err
		}
		if err := WriteKey(filepath.Join(f.Dir, "keys", nextKeys), file, next.text(file)); err != nil {
			return nil, err
		}
	}
	if err := at("change"); err != nil {
		return nil, err
	}
	d := journal.Draft{Subject: journal.Of("shop", string(f.Shop)), By: by, Data: p}
	if _, err := f.Log.ChangeKeys(ctx, d, next.Log); err != nil {
		return nil, err
	}
	f.Identity, err = carryKeys(f.Dir, f.Identity, p, at)
	return p, err
}

// FoundKeys has the hub of this folder go on with keys that the ones before did
// not sign. They lie in the folder already.
func (f *Folder) FoundKeys(ctx context.Context, because journal.KeyReason, by journal.PersonID, next NextKeys) (*journal.KeyChange, error) {
	keys, err := f.Log.Succession(ctx)
	if err != nil {
		return nil, err
	}
	p := &journal.KeyChange{Because: because, Certificate: next.Fingerprint}
	if p.Held, err = f.Log.Unseen(ctx); err != nil {
		return nil, err
	}
	proof.FoundKeys(p, f.Shop, f.Device, keys.Now(), next.HubKeys)
	_, err = f.Log.ChangeKeys(ctx, journal.Draft{Subject: journal.Of("shop", string(f.Shop)), By: by, Data: p}, next.Log)
	return p, err
}

func nextPath(dir, name string) string { return filepath.Join(dir, "keys", nextKeys, "keys", name) }

// carryKeys makes the new keys the hub's. Done again it does the same.
func carryKeys(dir string, id Identity, p *journal.KeyChange, at func(step string) error) (Identity, error) {
	for _, file := range keyFiles() {
		if err := at("carry " + file); err != nil {
			return id, err
		}
		raw, err := os.ReadFile(nextPath(dir, file))
		if errors.Is(err, fs.ErrNotExist) {
			continue // it was carried, and the rest removed
		}
		if err == nil {
			err = WriteKey(dir, file, raw)
		}
		if err != nil {
			return id, fmt.Errorf("put the new keys in place: %w", err)
		}
	}
	if err := at("name"); err != nil {
		return id, err
	}
	id.Fingerprint = p.Certificate
	if err := WriteIdentity(dir, id); err != nil {
		return id, err
	}
	return id, dropNext(dir, at)
}

// dropNext removes what is in keys/next, the log key first: without it nothing
// there is anybody's.
func dropNext(dir string, at func(step string) error) error {
	for _, path := range []string{nextPath(dir, LogKey), nextPath(dir, CosignKey), nextPath(dir, CertFile), nextPath(dir, CertKey), nextPath(dir, ""), filepath.Join(dir, "keys", nextKeys)} {
		if err := at("remove " + filepath.Base(path)); err != nil {
			return err
		}
		if err := durable.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("remove the new keys’ folder: %w", err)
		}
	}
	return nil
}

// settleKeys finishes a change of keys that was cut off: it is carried out if
// the hub's log has it, and else thrown away. The caller holds the lock.
func settleKeys(ctx context.Context, dir string, id Identity) (Identity, error) {
	if _, err := os.Stat(filepath.Join(dir, "keys", nextKeys)); errors.Is(err, fs.ErrNotExist) {
		return id, nil
	}
	log, err := sqlitelog.OpenToRead(ctx, DatabasePath(dir))
	if errors.Is(err, sqlitelog.ErrLost) {
		return id, nil // who opens the folder says so
	}
	if err != nil {
		return id, err
	}
	keys, err := log.SuccessionOf(ctx, id.Founded())
	if err := errors.Join(err, log.Close()); err != nil {
		return id, err
	}
	never := func(string) error { return nil }
	now := keys.Now()
	raw, err := os.ReadFile(nextPath(dir, LogKey))
	switch {
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return id, fmt.Errorf("read the new keys: %w", err)
	case err != nil: // never whole, or all but removed
		return id, dropNext(dir, never)
	}
	key, err := proof.ParseKey(string(raw))
	if err != nil || now.Change == nil || key.Verifier() != now.Log {
		return id, dropNext(dir, never)
	}
	return carryKeys(dir, id, now.Change, never)
}

// Founded is the succession of the hub's keys as far as the folder was set up
// with it: the keys that founded the shop.
func (id Identity) Founded() proof.Succession {
	s := proof.Founded(id.Shop, id.Hub, id.HubKey, id.CosignKey)
	s.Agreed = func(keys journal.Digest) bool { return slices.Contains(id.agreed(), keys) }
	return s
}

// Pin is the fingerprint by which a tablet knows the hub's certificate: of its
// invitation, of the last change of keys that it holds, or of one that its
// person agreed to and that is still to come.
func (f *Folder) Pin(ctx context.Context) string {
	keys, err := f.Log.Succession(ctx)
	if err != nil {
		return f.Fingerprint
	}
	f.owing.Lock()
	agreed := f.Identity.Agreed
	f.owing.Unlock()
	if n := len(agreed); n > 0 && !keys.Had(agreed[n-1].Keys) {
		return agreed[n-1].Certificate
	}
	if now := keys.Now(); now.Change != nil {
		return now.Change.Certificate
	}
	return f.Fingerprint
}
