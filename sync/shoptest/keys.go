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
)

// ChangeHubKeys has the hub go on with new keys. The hub is restarted.
func (s *Shop) ChangeHubKeys(because journal.KeyReason) {
	s.t.Helper()
	s.HubStop()
	if err := changeKeys(s.t.Context(), s.dir, because, s.settings); err != nil {
		s.t.Fatal(err)
	}
	s.HubStart()
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

func changeKeys(ctx context.Context, dir string, because journal.KeyReason, set Settings) error {
	var id hubIdentity
	if err := readJSON(filepath.Join(dir, "hub.json"), &id); err != nil {
		return err
	}
	var old, next proof.HubKeys
	var err, err2, err3, err4, err5 error
	old.Log, err = proof.ParseKey(id.Log)
	old.Cosign, err2 = proof.ParseKey(id.Cosign)
	next.Log, err3 = proof.NewKey(rand.Reader, proof.Origin(id.Shop, id.Device))
	next.Cosign, err4 = proof.NewKey(rand.Reader, proof.CosignerName(id.Shop))
	before, err5 := tls.X509KeyPair(id.CertPEM, id.KeyPEM)
	if err := errors.Join(err, err2, err3, err4, err5); err != nil {
		return err
	}
	if id.CertPEM, id.KeyPEM, err = broker.RenewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"}, before); err != nil {
		return err
	}
	cert, err := tls.X509KeyPair(id.CertPEM, id.KeyPEM)
	if err != nil {
		return err
	}
	db, err := openHubLog(ctx, dir, id, set)
	if err != nil {
		return err
	}
	p := &journal.KeyChange{Because: because, Certificate: broker.Fingerprint(cert.Leaf)}
	if p.Held, err = db.Unseen(ctx); err == nil {
		proof.SignKeyChange(p, id.Shop, id.Device, old, next)
		_, err = db.ChangeKeys(ctx, journal.Draft{Subject: journal.Of("shop", string(id.Shop)), By: hubBy, Data: p}, next.Log)
	}
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	id.Log, id.Cosign = next.Log.Secret(), next.Cosign.Secret()
	return writeJSON(filepath.Join(dir, "hub.json"), id)
}
