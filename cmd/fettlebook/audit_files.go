package main

import (
	"bytes"
	"cmp"
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/proof"
	"fettlebook/sync/broker"
	"fettlebook/sync/hub"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/nats-io/nkeys"
)

// auditedFiles are the files of a data folder beside its database.
type auditedFiles struct {
	dir string
	id  folder.Identity
}

// What to do about a file.
const (
	doRestoreFile = "Restore the file from a backup of this folder, and ask who had access to this machine."
	doRestoreKey  = "Restore the file from a backup of this folder; without one, a tablet joins the shop again, and a hub cannot go on under its name."
	doAdmit       = "Stop the hub and remove the file; the hub writes it again. Ask who had access to this machine."
	doKnow        = "It is of an earlier version of fettlebook. Nothing shows whether it was changed."
)

// Inspect implements [audit.Files].
func (f auditedFiles) Inspect(_ context.Context, r audit.Register) (list []audit.Finding) {
	say := func(s audit.Severity, name, what, do string) {
		list = append(list, audit.Finding{Severity: s, Where: audit.Where{Part: audit.File, File: name}, What: what, Do: do})
	}
	bad := func(name, what, do string) {
		if what != "" {
			say(audit.Damage, name, what, do)
		}
	}
	wrong, signed := folder.CheckIdentity(f.dir, f.logKey(r, f.id.Device))
	if bad("shop.json", wrong, doRestoreFile); wrong == "" {
		bad("shop.json", f.contradicts(r), doRestoreFile)
		if !signed {
			say(audit.Remark, "shop.json", "It is not signed by this device.", doKnow)
		}
	}
	bad("keys/"+folder.LogKey, f.proofKey(folder.LogKey, f.logKey(r, f.id.Device)), doRestoreKey)
	bad("keys/"+folder.LineKey, f.lineKey(r), doRestoreKey)
	for _, d := range f.id.Earlier {
		name := filepath.Join("earlier-"+string(d), "keys", folder.LogKey)
		bad("keys/"+filepath.ToSlash(name), f.proofKey(name, f.logKey(r, d)), doRestoreKey)
	}
	if f.id.Role == folder.Hub {
		bad("keys/"+folder.CosignKey, f.proofKey(folder.CosignKey, cmp.Or(r.Cosign, f.id.CosignKey)), doRestoreKey)
		bad("keys/"+folder.CertFile, f.certificate(), doRestoreKey)
		bad(admittedFile, f.admitted(r), doAdmit)
		if n := f.differs(r); n != "" {
			say(audit.Remark, admittedFile, n, "Run the hub: it writes the list anew.")
		}
	}
	return list
}

// logKey is the key that a device's log must be signed with.
func (f auditedFiles) logKey(r audit.Register, d journal.DeviceID) string {
	if known := r.Keys[d]; known != "" || d != f.id.Hub {
		return known
	}
	return f.id.HubKey
}

func (f auditedFiles) contradicts(r audit.Register) string {
	d, named := r.Devices[f.id.Device]
	switch {
	case r.ShopName != "" && f.id.ShopName != r.ShopName:
		return "It gives the shop another name than its founding does."
	case named && f.id.Name != d.Name:
		return "It gives this machine another name than the register does."
	case (f.id.Role == folder.Hub) != (f.id.Device == f.id.Hub):
		return "It says that this is a " + string(f.id.Role) + ", and the register says otherwise."
	}
	return ""
}

// proofKey compares a signing key with the verifier key that stands for it.
func (f auditedFiles) proofKey(name, want string) string {
	raw, err := folder.ReadKey(f.dir, name)
	if errors.Is(err, fs.ErrNotExist) {
		return "The key is missing, so nothing can be signed with it."
	}
	if err != nil {
		return fmt.Sprintf("The key cannot be read: %v.", err)
	}
	key, err := proof.ParseKey(string(raw))
	switch {
	case err != nil:
		return "The key is damaged."
	case key.Secret() != string(raw):
		return "The key is not written as the program writes it."
	case want != "" && key.Verifier() != want:
		return "It is another key than the one that the shop knows."
	}
	return ""
}

func (f auditedFiles) lineKey(r audit.Register) string {
	raw, err := folder.ReadKey(f.dir, folder.LineKey)
	if errors.Is(err, fs.ErrNotExist) {
		return "The key is missing, so this machine cannot connect."
	}
	if err != nil {
		return fmt.Sprintf("The key cannot be read: %v.", err)
	}
	key, err := folder.ReadLineKey(f.dir)
	if err != nil {
		return "The key is damaged."
	}
	if again, err := seedAgain(raw); err != nil || !bytes.Equal(again, raw) {
		return "The key is not written as the program writes it."
	}
	public, err := key.PublicKey()
	if d, named := r.Devices[f.id.Device]; err != nil || named && public != d.ConnectKey {
		return "It is another key than the one in the shop’s register."
	}
	return ""
}

// seedAgain writes a seed anew: a few bits of its last digit do not count.
func seedAgain(seed []byte) ([]byte, error) {
	kind, raw, err := nkeys.DecodeSeed(seed)
	if err != nil {
		return nil, err
	}
	key, err := nkeys.FromRawSeed(kind, raw)
	if err != nil {
		return nil, err
	}
	return key.Seed()
}

// certificate checks the hub's certificate and its key against the fingerprint by which
// tablets know it.
func (f auditedFiles) certificate() string {
	cert, err := readCertificate(f.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return "The certificate or its key is missing, so no tablet can connect."
	}
	if err != nil {
		return "The certificate and its key cannot be read together."
	}
	if cert.pair.Leaf == nil || broker.Fingerprint(cert.pair.Leaf) != f.id.Fingerprint {
		return "It is another certificate than the one that tablets know."
	}
	return certificateForm(f.dir, cert.pair)
}

// admitted compares whom the hub lets in from its start with the register. It is of the
// hub's last run: who was revoked since is struck off when it runs again.
func (f auditedFiles) admitted(r audit.Register) string {
	raw, err := os.ReadFile(filepath.Join(f.dir, admittedFile))
	if errors.Is(err, fs.ErrNotExist) {
		return "" // as long as the hub did not run, or until it runs again: differs tells of it
	}
	var clients []struct {
		hub.Client
		Publish, Subscribe []string `json:",omitempty"` // of an earlier program; nobody goes by them
	}
	if err == nil {
		err = json.Unmarshal(raw, &clients, json.RejectUnknownMembers(true))
	}
	if err != nil {
		return fmt.Sprintf("It cannot be read: %v.", err)
	}
	if again, err := json.Marshal(clients, jsontext.WithIndent("  ")); err != nil || !bytes.Equal(again, raw) {
		return "It is not written as the program writes it."
	}
	for _, c := range clients {
		d, named := r.Devices[c.Device]
		switch {
		case !named:
			return fmt.Sprintf("It lets in %s, which the register does not.", c.Device)
		case c.Key != d.ConnectKey:
			return fmt.Sprintf("It gives %s another key than the register does.", c.Device)
		}
	}
	return ""
}

// differs says whom the list has and the register has no more, or the other way round.
func (f auditedFiles) differs(r audit.Register) string {
	clients, err := readAdmitted(f.dir)
	if err != nil {
		return ""
	}
	if clients == nil && len(r.Devices) > 0 {
		return "The list of the tablets that are let in is missing."
	}
	let := map[journal.DeviceID]bool{}
	for _, c := range clients {
		if let[c.Device] = true; r.Revoked[c.Device] {
			return fmt.Sprintf("It lets in %s, which was revoked.", c.Device)
		}
	}
	for d := range r.Devices {
		if !let[d] && !r.Revoked[d] {
			return fmt.Sprintf("It does not let in %s, which the register does.", d)
		}
	}
	return ""
}

// certificateForm demands that the certificate signs itself, or was signed by the one before
// it, which stands behind it, and that nothing but these and its key stands in their files.
func certificateForm(dir string, pair tls.Certificate) string {
	chain, err := x509.ParseCertificates(slices.Concat(pair.Certificate...))
	if err != nil {
		return fmt.Sprintf("The certificate cannot be read: %v.", err)
	}
	var text []byte
	for i, c := range chain {
		if by := chain[min(i+1, len(chain)-1)]; by.CheckSignature(c.SignatureAlgorithm, c.RawTBSCertificate, c.Signature) != nil {
			return "The certificate is not the one that its key signed."
		}
		text = append(text, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: c.Raw})...)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(pair.PrivateKey)
	if err != nil {
		return fmt.Sprintf("The certificate’s key cannot be read: %v.", err)
	}
	for name, want := range map[string][]byte{
		folder.CertFile: text,
		folder.CertKey:  pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}),
	} {
		if raw, err := folder.ReadKey(dir, name); err != nil || !bytes.Equal(raw, want) {
			return "The certificate or its key is not written as the program writes it."
		}
	}
	return ""
}
