package broker

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	cryptorand "crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"math/big"
	"net"
	"time"
)

const (
	// certificateYears: a device follows a new key only if it was there
	// before the old one ended, so it outlives the devices.
	certificateYears = 10
	// certificateSlack lets browsers with a slow clock in at once.
	certificateSlack = 24 * time.Hour
	// serialBytes of randomness; RFC 5280 section 4.1.2.2 allows 20 octets.
	serialBytes = 16
)

// NewCertificate makes the hub's own TLS certificate: self-signed, ECDSA P-256,
// valid for ten years from now, for the given host names and IP addresses. Both
// results are PEM ("CERTIFICATE" and PKCS #8 "PRIVATE KEY") for
// [tls.X509KeyPair]; the key belongs in a file only its owner can read.
//
// rand gives the serial number. The key and the signature always draw on the
// system's secure source, as Go's crypto packages do since Go 1.26.
func NewCertificate(now time.Time, rand io.Reader, hosts []string) (certPEM, keyPEM []byte, err error) {
	return newCertificate(now, rand, hosts, tls.Certificate{})
}

// RenewCertificate makes a certificate with a new key, which the key before it
// signs, and puts those before it behind it in the file: who knows an old
// [Fingerprint] finds the way from it to the new one ([ClientTLS]).
func RenewCertificate(now time.Time, rand io.Reader, hosts []string, old tls.Certificate) (certPEM, keyPEM []byte, err error) {
	if old.Leaf == nil {
		return nil, nil, errors.New("renew a certificate: the old one is not here")
	}
	certPEM, keyPEM, err = newCertificate(now, rand, hosts, old)
	if err != nil {
		return nil, nil, err
	}
	for _, der := range old.Certificate[:min(len(old.Certificate), mostBefore)] {
		certPEM = append(certPEM, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})...)
	}
	return certPEM, keyPEM, nil
}

// mostBefore is how many certificates a new one carries behind it. A device
// that was away for more changes than that needs an invitation.
const mostBefore = 16

// newCertificate signs with the key of the one before, or with its own.
func newCertificate(now time.Time, rand io.Reader, hosts []string, before tls.Certificate) (certPEM, keyPEM []byte, err error) {
	serial := make([]byte, serialBytes)
	if _, err := io.ReadFull(rand, serial); err != nil {
		return nil, nil, fmt.Errorf("draw a serial number: %w", err)
	}
	serial[0] = serial[0]&0x7f | 0x40 // positive, and never zero

	key, err := ecdsa.GenerateKey(elliptic.P256(), cryptorand.Reader)
	if err != nil {
		return nil, nil, fmt.Errorf("make a TLS key: %w", err)
	}
	template := &x509.Certificate{
		SerialNumber:          new(big.Int).SetBytes(serial),
		Subject:               pkix.Name{CommonName: "fettlebook hub"},
		NotBefore:             now.Add(-certificateSlack),
		NotAfter:              now.AddDate(certificateYears, 0, 0),
		KeyUsage:              x509.KeyUsageDigitalSignature,
		ExtKeyUsage:           []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true,
	}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip != nil {
			template.IPAddresses = append(template.IPAddresses, ip)
		} else {
			template.DNSNames = append(template.DNSNames, h)
		}
	}
	parent, signs := template, any(key)
	if before.Leaf != nil {
		parent, signs = before.Leaf, before.PrivateKey
	}
	der, err := x509.CreateCertificate(cryptorand.Reader, template, parent, key.Public(), signs)
	if err != nil {
		return nil, nil, fmt.Errorf("sign the TLS certificate: %w", err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, nil, fmt.Errorf("encode the TLS key: %w", err)
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER}), nil
}

// Fingerprint identifies a certificate by its key: SHA-256 over the DER
// SubjectPublicKeyInfo (as in RFC 7469 section 2.4), 64 lower-case hex digits.
// A certificate renewed for the same key keeps its fingerprint.
func Fingerprint(cert *x509.Certificate) string {
	sum := sha256.Sum256(cert.RawSubjectPublicKeyInfo)
	return hex.EncodeToString(sum[:])
}

// ClientTLS returns the TLS settings for a device: it talks to the holder of
// the key with this [Fingerprint], or of one that this key, or one after it,
// signed as its successor ([RenewCertificate]), and to nobody else. A mismatch
// ends the handshake with a [*PinError]; a malformed fingerprint matches nothing.
//
// The usual verification is switched off because it has nothing to hold on to:
// a hub in a shop has no public name, its address changes with the router, and
// no authority would sign for it. The fingerprint came with the invitation, by
// a way the network could not touch, and says more than any of them. The dates
// of the certificate do not count either: a tablet whose clock has fallen back
// by years must still be able to deliver its entries. That the other side
// really holds the key is proven by the handshake itself.
func ClientTLS(fingerprint string) *tls.Config {
	return PinnedTLS(func() string { return fingerprint })
}

// PinnedTLS is [ClientTLS] for a device that learns of a new key while it runs:
// it is asked for the fingerprint at each connection.
func PinnedTLS(pin func() string) *tls.Config {
	return &tls.Config{
		MinVersion:         tls.VersionTLS13,
		InsecureSkipVerify: true,
		// Unlike VerifyPeerCertificate this also runs on resumed sessions.
		VerifyConnection: func(state tls.ConnectionState) error {
			if len(state.PeerCertificates) == 0 {
				return errNoCertificate
			}
			want := pin()
			if !leads(state.PeerCertificates, want) {
				return &PinError{Want: want, Got: Fingerprint(state.PeerCertificates[0])}
			}
			return nil
		},
	}
}

// leads reports whether the first certificate is of the pinned key, or was
// signed by one that leads there.
func leads(chain []*x509.Certificate, pin string) bool {
	for i, c := range chain {
		if Fingerprint(c) == pin {
			return true
		}
		if i > mostBefore || i+1 == len(chain) || chain[i+1].CheckSignature(c.SignatureAlgorithm, c.RawTBSCertificate, c.Signature) != nil {
			return false
		}
	}
	return false
}

var errNoCertificate = errors.New("the hub showed no certificate, so nobody knows who it is")

// PinError: the server at this address is not the hub of the invitation.
type PinError struct {
	Want string // fingerprint from the invitation
	Got  string // fingerprint of the certificate shown
}

func (e *PinError) Error() string {
	return fmt.Sprintf("this is not the hub that the invitation came from (its fingerprint is %s, the invitation says %s): check the address, or get a new invitation from the hub",
		e.Got, e.Want)
}
