package shoptest

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"os"
	"path/filepath"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/broker"
	"fettlebook/sync/segment"
)

// ChangeHubKeys has the hub go on with new keys. The hub is restarted.
func (s *Shop) ChangeHubKeys(because journal.KeyReason) {
	s.t.Helper()
	s.HubStop()
	if _, err := changeKeys(s.t.Context(), s.dir, because, true, s.settings); err != nil {
		s.t.Fatal(err)
	}
	s.HubStart()
}

// FoundHubKeys has the hub go on with new keys that the old ones, which are
// lost, did not sign. It returns what each tablet's person is asked to agree
// to. The hub is restarted.
func (s *Shop) FoundHubKeys() segment.AgreedKeys {
	s.t.Helper()
	s.HubStop()
	keys, err := changeKeys(s.t.Context(), s.dir, journal.KeysLost, false, s.settings)
	if err != nil {
		s.t.Fatal(err)
	}
	s.HubStart()
	return keys
}

// Agree has somebody at the tablet agree to the hub's new keys. It connects
// anew.
func (b *Tablet) Agree(keys segment.AgreedKeys) {
	b.t.Helper()
	b.Disconnect()
	held, err := b.Bench.DB.Succession(b.t.Context())
	if err != nil {
		b.t.Fatal(err)
	}
	now := held.Now()
	b.Write(journal.Draft{Subject: journal.Of("device", string(b.Device())), By: hubBy,
		Data: &journal.KeyAgreement{Device: b.Device(), Old: now.Fingerprint(), New: keys.Keys, Size: 1, Root: journal.Digest{1}}})
	b.Bench.ID.Agreed = append(b.Bench.ID.Agreed, keys)
	b.Bench.DB.Agree(keys.Keys)
	b.Connect()
}

// StealHub copies all that the hub keeps, keys and all. The hub is restarted.
// start puts a hub of that copy in the place of the shop's own, which is
// stopped; it returns what changes the copy's keys, and what brings the shop's
// own hub back.
func (s *Shop) StealHub() (start func() (change func(), back func())) {
	s.t.Helper()
	stolen := s.t.TempDir()
	s.HubStop()
	if err := os.CopyFS(stolen, os.DirFS(s.dir)); err != nil {
		s.t.Fatal(err)
	}
	s.HubStart()
	return func() (func(), func()) {
		s.t.Helper()
		own := s.dir
		s.HubStop()
		s.dir = stolen
		s.HubStart()
		change := func() { s.t.Helper(); s.ChangeHubKeys(journal.KeysRenewed) }
		return change, func() {
			s.t.Helper()
			s.HubStop()
			s.dir = own
			s.HubStart()
		}
	}
}

func changeKeys(ctx context.Context, dir string, because journal.KeyReason, signed bool, set Settings) (agreed segment.AgreedKeys, err error) {
	var id hubIdentity
	if err := readJSON(filepath.Join(dir, "hub.json"), &id); err != nil {
		return agreed, err
	}
	var old, next proof.HubKeys
	var err2, err3, err4, err5 error
	old.Log, err = proof.ParseKey(id.Log)
	old.Cosign, err2 = proof.ParseKey(id.Cosign)
	next.Log, err3 = proof.NewKey(rand.Reader, proof.Origin(id.Shop, id.Device))
	next.Cosign, err4 = proof.NewKey(rand.Reader, proof.CosignerName(id.Shop))
	before, err5 := tls.X509KeyPair(id.CertPEM, id.KeyPEM)
	if err := errors.Join(err, err2, err3, err4, err5); err != nil {
		return agreed, err
	}
	if id.CertPEM, id.KeyPEM, err = broker.RenewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"}, before); err == nil && !signed {
		id.CertPEM, id.KeyPEM, err = broker.NewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"})
	}
	if err != nil {
		return agreed, err
	}
	cert, err := tls.X509KeyPair(id.CertPEM, id.KeyPEM)
	if err != nil {
		return agreed, err
	}
	db, err := openHubLog(ctx, dir, id, set)
	if err != nil {
		return agreed, err
	}
	p := &journal.KeyChange{Because: because, Certificate: broker.Fingerprint(cert.Leaf)}
	if p.Held, err = db.Unseen(ctx); err == nil {
		proof.SignKeyChange(p, id.Shop, id.Device, old, next)
		if !signed {
			p.OldSigned = ""
		}
		_, err = db.ChangeKeys(ctx, journal.Draft{Subject: journal.Of("shop", string(id.Shop)), By: hubBy, Data: p}, next.Log)
	}
	if err := errors.Join(err, db.Close()); err != nil {
		return agreed, err
	}
	id.Log, id.Cosign = next.Log.Secret(), next.Cosign.Secret()
	agreed = segment.AgreedKeys{Keys: p.New(), Certificate: p.Certificate}
	if !signed {
		id.Agreed = append(id.Agreed, agreed)
	}
	return agreed, writeJSON(filepath.Join(dir, "hub.json"), id)
}
