package witnessed

import (
	"bytes"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
)

const (
	// MaxRoots caps a file of certificates: the roots of all authorities that
	// anybody trusts.
	MaxRoots = 1 << 20

	mostRoots = 500
)

// ErrRoots is wrapped when a text holds no certificates.
var ErrRoots = errors.New("this does not hold certificates as PEM")

// ParseRoots reads the certificates of authorities that somebody trusts, as PEM.
// Texts between them are passed over, as such files have them.
func ParseRoots(text []byte) (list []*x509.Certificate, err error) {
	if len(text) > MaxRoots {
		return nil, fmt.Errorf("%w: it has more than %d bytes", ErrRoots, MaxRoots)
	}
	for rest := text; ; {
		var block *pem.Block
		if block, rest = pem.Decode(rest); block == nil {
			break
		}
		if block.Type != "CERTIFICATE" || len(list) == mostRoots {
			return nil, fmt.Errorf("%w: it holds a %q, or more than %d", ErrRoots, block.Type, mostRoots)
		}
		c, err := x509.ParseCertificate(block.Bytes)
		if err != nil {
			return nil, fmt.Errorf("%w: certificate %d cannot be read", ErrRoots, len(list)+1)
		}
		list = append(list, c)
	}
	if n := bytes.Count(text, []byte("-----BEGIN ")); len(list) == 0 || n != len(list) {
		return nil, fmt.Errorf("%w: %d of %d could be read", ErrRoots, len(list), n)
	}
	return list, nil
}
