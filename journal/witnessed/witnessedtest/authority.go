// Package witnessedtest is a timestamp authority in a test: the tokens are made
// by OpenSSL, a program that knows nothing of ours. It is imported by tests
// only.
package witnessedtest

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/media/mediatest"
)

// Options say how an authority differs from a good one.
type Options struct {
	Until time.Time // how long its certificate is valid; in a year if zero
	Usage []x509.ExtKeyUsage
	SHA1  bool // it names its certificate in the older form
}

// Authority signs timestamps with OpenSSL.
type Authority struct {
	t   testing.TB
	dir string
	// Root is the certificate under which it was issued.
	Root *x509.Certificate
}

// RootPEM is the root as authorities publish it.
func (a *Authority) RootPEM() []byte {
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.Root.Raw})
}

// Name is the authority's name in its certificate.
const Name = "Clock House Time"

// New founds an authority. Where OpenSSL is missing the test is skipped.
func New(t *testing.T, o Options) *Authority {
	t.Helper()
	if _, err := exec.LookPath("openssl"); err != nil {
		mediatest.Missing(t, "openssl is missing; install it (Debian: apt-get install openssl)")
	}
	if o.Until.IsZero() {
		o.Until = time.Now().AddDate(1, 0, 0)
	}
	if o.Usage == nil {
		o.Usage = []x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping}
	}
	a := &Authority{t: t, dir: t.TempDir()}
	begin := time.Now().AddDate(-1, 0, 0)
	root := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "Clock House Root"}, NotBefore: begin, NotAfter: begin.AddDate(20, 0, 0),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}
	rootKey := a.key("root.key")
	a.Root = a.issue("root.pem", root, root, rootKey, rootKey)
	tsa := &x509.Certificate{SerialNumber: big.NewInt(2), Subject: pkix.Name{CommonName: Name}, NotBefore: begin, NotAfter: o.Until,
		KeyUsage: x509.KeyUsageDigitalSignature, ExtraExtensions: []pkix.Extension{usage(t, o.Usage)}}
	a.issue("tsa.pem", tsa, a.Root, a.key("tsa.key"), rootKey)
	form := "sha256"
	if o.SHA1 {
		form = "sha1"
	}
	a.write("openssl.cnf", fmt.Appendf(nil, `
[tsa]
default_tsa = one
[one]
serial = %[1]s/serial
crypto_device = builtin
signer_cert = %[1]s/tsa.pem
certs = %[1]s/root.pem
signer_key = %[1]s/tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
accuracy = secs:1
ess_cert_id_chain = no
ess_cert_id_alg = %[2]s
`, a.dir, form))
	return a
}

// usage writes what a certificate is for so that it must be minded, which
// package x509 does not by itself.
func usage(t testing.TB, list []x509.ExtKeyUsage) pkix.Extension {
	t.Helper()
	oids := map[x509.ExtKeyUsage][]byte{
		x509.ExtKeyUsageTimeStamping: {0x06, 0x08, 0x2b, 0x06, 0x01, 0x05, 0x05, 0x07, 0x03, 0x08},
		x509.ExtKeyUsageCodeSigning:  {0x06, 0x08, 0x2b, 0x06, 0x01, 0x05, 0x05, 0x07, 0x03, 0x03},
	}
	var inner []byte
	for _, u := range list {
		inner = append(inner, oids[u]...)
	}
	return pkix.Extension{Id: []int{2, 5, 29, 37}, Critical: true, Value: append([]byte{0x30, byte(len(inner))}, inner...)}
}

// Answer answers a question (TimeStampReq) with a whole answer.
func (a *Authority) Answer(question []byte) []byte {
	a.t.Helper()
	a.write("question.tsq", question)
	out, err := exec.Command("openssl", "ts", "-reply", "-config", a.path("openssl.cnf"), "-section", "one",
		"-queryfile", a.path("question.tsq"), "-out", a.path("answer.tsr")).CombinedOutput()
	if err != nil {
		a.t.Fatalf("openssl ts -reply: %v\n%s", err, out)
	}
	raw, err := os.ReadFile(a.path("answer.tsr"))
	if err != nil {
		a.t.Fatal(err)
	}
	return raw
}

// Verifies reports what `openssl ts -verify` says of an answer over bytes.
func (a *Authority) Verifies(answer, state []byte) error {
	a.t.Helper()
	a.write("check.tsr", answer)
	a.write("state", state)
	out, err := exec.Command("openssl", "ts", "-verify", "-in", a.path("check.tsr"), "-data", a.path("state"), "-CAfile", a.path("root.pem")).CombinedOutput()
	if err != nil {
		return fmt.Errorf("%w\n%s", err, out)
	}
	return nil
}

func (a *Authority) path(name string) string { return filepath.Join(a.dir, name) }

func (a *Authority) write(name string, raw []byte) {
	a.t.Helper()
	if err := os.WriteFile(a.path(name), raw, 0o600); err != nil {
		a.t.Fatal(err)
	}
}

func (a *Authority) key(name string) *ecdsa.PrivateKey {
	a.t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		a.t.Fatal(err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		a.t.Fatal(err)
	}
	a.write(name, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: raw}))
	return key
}

func (a *Authority) issue(name string, c, parent *x509.Certificate, key, by *ecdsa.PrivateKey) *x509.Certificate {
	a.t.Helper()
	raw, err := x509.CreateCertificate(rand.Reader, c, parent, key.Public(), by)
	if err != nil {
		a.t.Fatal(err)
	}
	a.write(name, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: raw}))
	got, err := x509.ParseCertificate(raw)
	if err != nil {
		a.t.Fatal(err)
	}
	return got
}
