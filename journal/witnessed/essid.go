package witnessed

import (
	"bytes"
	"crypto"
	_ "crypto/sha1" // by which older authorities name their certificate
	_ "crypto/sha512"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"

	"github.com/smallstep/pkcs7"
)

// The signed attributes that name the signer's certificate by its hash: the
// second form (RFC 5035) with any hash, the first (RFC 2634) with SHA-1.
var (
	oidSigningCertificate   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 12}
	oidSigningCertificateV2 = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 47}
)

type signingCertificate struct {
	Certs    []essCertID
	Policies asn1.RawValue `asn1:"optional"`
}

type essCertID struct {
	Hash   []byte
	Issuer asn1.RawValue `asn1:"optional"`
}

type signingCertificateV2 struct {
	Certs    []essCertIDv2
	Policies asn1.RawValue `asn1:"optional"`
}

type essCertIDv2 struct {
	Algorithm pkix.AlgorithmIdentifier `asn1:"optional"` // SHA-256 if it is not there
	Hash      []byte
	Issuer    asn1.RawValue `asn1:"optional"`
}

// namesCertificate reports whether what is signed names the certificate first.
func namesCertificate(p *pkcs7.PKCS7, c *x509.Certificate) bool {
	var second signingCertificateV2
	if p.UnmarshalSignedAttribute(oidSigningCertificateV2, &second) == nil {
		return len(second.Certs) > 0 && hashes(second.Certs[0].Algorithm.Algorithm, c, second.Certs[0].Hash)
	}
	var first signingCertificate
	if p.UnmarshalSignedAttribute(oidSigningCertificate, &first) == nil {
		return len(first.Certs) > 0 && hashes(pkcs7.OIDDigestAlgorithmSHA1, c, first.Certs[0].Hash)
	}
	return false
}

func hashes(algorithm asn1.ObjectIdentifier, c *x509.Certificate, want []byte) bool {
	by := crypto.SHA256
	switch {
	case len(algorithm) == 0, algorithm.Equal(pkcs7.OIDDigestAlgorithmSHA256):
	case algorithm.Equal(pkcs7.OIDDigestAlgorithmSHA384):
		by = crypto.SHA384
	case algorithm.Equal(pkcs7.OIDDigestAlgorithmSHA512):
		by = crypto.SHA512
	case algorithm.Equal(pkcs7.OIDDigestAlgorithmSHA1):
		by = crypto.SHA1
	default:
		return false
	}
	h := by.New()
	h.Write(c.Raw)
	return bytes.Equal(h.Sum(nil), want)
}
