package witnessed

import (
	"crypto/sha256"
	"crypto/x509"
	"encoding/asn1"
	"errors"
	"fmt"
	"math/big"
	"time"

	"github.com/smallstep/pkcs7"
)

// MaxStamp caps an authority's answer: a token with a chain of certificates.
const MaxStamp = 64 << 10

// Stamp is what a timestamp authority says of a state: it existed at Time, or
// before.
type Stamp struct {
	Time      time.Time
	Accuracy  time.Duration // by which the authority says it may be off; zero if it does not say
	Authority string        // as its certificate names it
	// Certificate is the SHA-256 hash of the authority's certificate, by which
	// it can be compared with what the authority publishes.
	Certificate [sha256.Size]byte

	signer *x509.Certificate
	others *x509.CertPool
	nonce  *big.Int
}

// By returns the latest time that the authority's word leaves open.
func (s Stamp) By() time.Time { return s.Time.Add(s.Accuracy) }

// AskStamp writes the question to an authority: when was this state there? It
// asks for the authority's certificate, without which nobody could check the
// answer later.
func AskStamp(state []byte, nonce *big.Int) ([]byte, error) {
	raw, err := asn1.Marshal(stampQuestion{Version: 1, Imprint: sha256Imprint(state), Nonce: nonce, Certificates: true})
	if err != nil {
		return nil, fmt.Errorf("ask for a timestamp: %w", err)
	}
	return raw, nil
}

// What may be wrong with an answer. Each is wrapped with what exactly.
var (
	ErrStamp      = errors.New("this is not a valid timestamp")
	ErrOtherState = errors.New("the timestamp is of something else")
	ErrNonce      = errors.New("the timestamp answers another question")
	ErrAuthority  = errors.New("the certificate of the timestamp authority does not hold")
)

// CheckStamp checks an authority's whole answer (TimeStampResp) over a state:
// it is of these bytes, signed by the certificate it carries, which is for
// signing timestamps only and was valid at that time. Whose certificate it is
// must be known from elsewhere; see [Stamp.Under].
func CheckStamp(answer, state []byte) (Stamp, error) {
	if len(answer) > MaxStamp {
		return Stamp{}, fmt.Errorf("%w: it has more than %d bytes", ErrStamp, MaxStamp)
	}
	p, info, err := open(answer)
	if err != nil {
		return Stamp{}, fmt.Errorf("%w: %w", ErrStamp, err)
	}
	if !info.Imprint.of(state) {
		return Stamp{}, ErrOtherState
	}
	within, err := info.Accuracy.within()
	if err != nil {
		return Stamp{}, fmt.Errorf("%w: %w", ErrStamp, err)
	}
	signer, err := signedBy(p)
	if err != nil {
		return Stamp{}, err
	}
	if err := mayStamp(signer, info.Time); err != nil {
		return Stamp{}, err
	}
	s := Stamp{Time: info.Time.UTC(), Accuracy: within, Authority: named(signer), Certificate: sha256.Sum256(signer.Raw),
		signer: signer, others: x509.NewCertPool(), nonce: info.Nonce}
	for _, c := range p.Certificates {
		s.others.AddCert(c)
	}
	return s, nil
}

// CheckAnswer checks an answer like [CheckStamp], and that it answers the
// question with this nonce and is no older one.
func CheckAnswer(answer, state []byte, nonce *big.Int) (Stamp, error) {
	s, err := CheckStamp(answer, state)
	if err == nil && (s.nonce == nil || s.nonce.Cmp(nonce) != 0) {
		return Stamp{}, ErrNonce
	}
	return s, err
}

// Under checks that the authority's certificate was issued under one of the
// roots, or is one of them, and held when the timestamp was made. It returns the
// root's name. Nobody is asked whether a certificate was revoked.
func (s Stamp) Under(roots []*x509.Certificate) (root string, err error) {
	pool := x509.NewCertPool()
	for _, c := range roots {
		pool.AddCert(c)
	}
	chains, err := s.signer.Verify(x509.VerifyOptions{Roots: pool, Intermediates: s.others, CurrentTime: s.Time, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping}})
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrAuthority, err)
	}
	return named(chains[0][len(chains[0])-1]), nil
}

var (
	oidTSTInfo          = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 1, 4}
	oidExtendedKeyUsage = asn1.ObjectIdentifier{2, 5, 29, 37}
)

// signedBy returns the certificate whose key signed the token. What was signed must be a timestamp, and name the
// certificate: another certificate of the same key does not do.
func signedBy(p *pkcs7.PKCS7) (*x509.Certificate, error) {
	signer := p.GetOnlySigner()
	if signer == nil {
		return nil, fmt.Errorf("%w: it does not carry the certificate of the one who signed it", ErrStamp)
	}
	var content asn1.ObjectIdentifier
	if err := p.UnmarshalSignedAttribute(pkcs7.OIDAttributeContentType, &content); err != nil || !content.Equal(oidTSTInfo) {
		return nil, fmt.Errorf("%w: what is signed is not a timestamp", ErrStamp)
	}
	if !namesCertificate(p, signer) {
		return nil, fmt.Errorf("%w: it names another certificate than the one that signed it", ErrStamp)
	}
	return signer, nil
}

// mayStamp checks that a certificate is for timestamps and nothing else, as
// RFC 3161 (2.3) demands, and was valid at the time.
func mayStamp(c *x509.Certificate, at time.Time) error {
	critical := false
	for _, e := range c.Extensions {
		critical = critical || e.Critical && e.Id.Equal(oidExtendedKeyUsage)
	}
	only := len(c.ExtKeyUsage) == 1 && c.ExtKeyUsage[0] == x509.ExtKeyUsageTimeStamping && len(c.UnknownExtKeyUsage) == 0
	switch {
	case !only || !critical:
		return fmt.Errorf("%w: it is not for timestamps only", ErrAuthority)
	case at.Before(c.NotBefore) || at.After(c.NotAfter):
		return fmt.Errorf("%w: it was not valid at the time of the timestamp", ErrAuthority)
	}
	return nil
}

// named returns the authority's name as people read it.
func named(c *x509.Certificate) string {
	if c.Subject.CommonName != "" {
		return c.Subject.CommonName
	}
	return c.Subject.String()
}
