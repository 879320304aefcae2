package witnessed

import (
	"bytes"
	"crypto/sha256"
	"crypto/x509/pkix"
	"encoding/asn1"
	"errors"
	"fmt"
	"math/big"
	"time"

	"github.com/smallstep/pkcs7"
)

// The messages of RFC 3161, 2.4, as far as they are asked for here.
type (
	stampQuestion struct {
		Version      int
		Imprint      imprint
		Nonce        *big.Int `asn1:"optional"`
		Certificates bool     `asn1:"optional"`
	}

	stampAnswer struct {
		Status struct {
			Status int
			Text   []asn1.RawValue `asn1:"optional"`
			Failed asn1.BitString  `asn1:"optional"`
		}
		Token asn1.RawValue `asn1:"optional"`
	}

	imprint struct {
		Algorithm pkix.AlgorithmIdentifier
		Hash      []byte
	}

	// stampInfo is what an authority signs.
	stampInfo struct {
		Version    int
		Policy     asn1.ObjectIdentifier
		Imprint    imprint
		Serial     *big.Int
		Time       time.Time        `asn1:"generalized"`
		Accuracy   accuracy         `asn1:"optional"`
		Ordering   bool             `asn1:"optional"`
		Nonce      *big.Int         `asn1:"optional"`
		Authority  asn1.RawValue    `asn1:"optional,tag:0"`
		Extensions []pkix.Extension `asn1:"optional,tag:1"`
	}

	accuracy struct {
		Seconds int64 `asn1:"optional"`
		Millis  int64 `asn1:"optional,tag:0"`
		Micros  int64 `asn1:"optional,tag:1"`
	}
)

// maxAccuracy is the largest accuracy that tells anything.
const maxAccuracy = 24 * time.Hour

// within returns by how much the authority says that it may be off.
func (a accuracy) within() (time.Duration, error) {
	if a.Seconds < 0 || a.Seconds > int64(maxAccuracy/time.Second) || a.Millis < 0 || a.Millis > 999 || a.Micros < 0 || a.Micros > 999 {
		return 0, errors.New("its accuracy cannot be")
	}
	return time.Duration(a.Seconds)*time.Second + time.Duration(a.Millis)*time.Millisecond + time.Duration(a.Micros)*time.Microsecond, nil
}

// sha256Imprint is the hash of a state as RFC 3161 writes it.
func sha256Imprint(state []byte) imprint {
	hash := sha256.Sum256(state)
	return imprint{pkix.AlgorithmIdentifier{Algorithm: pkcs7.OIDDigestAlgorithmSHA256, Parameters: asn1.NullRawValue}, hash[:]}
}

// of reports whether it is the SHA-256 hash of the state.
func (i imprint) of(state []byte) bool {
	hash := sha256.Sum256(state)
	return i.Algorithm.Algorithm.Equal(pkcs7.OIDDigestAlgorithmSHA256) && bytes.Equal(i.Hash, hash[:])
}

// open reads an answer, and checks that what is in it is signed by a
// certificate that it carries.
func open(answer []byte) (*pkcs7.PKCS7, stampInfo, error) {
	var got stampAnswer
	var info stampInfo
	if err := der(answer); err != nil {
		return nil, info, err
	}
	if rest, err := asn1.Unmarshal(answer, &got); err != nil || len(rest) > 0 {
		return nil, info, errDER
	}
	if got.Status.Status > 1 || len(got.Token.FullBytes) == 0 { // neither granted nor granted with changes
		return nil, info, fmt.Errorf("the authority refused it with status %d", got.Status.Status)
	}
	p, err := pkcs7.Parse(got.Token.FullBytes)
	if err != nil {
		return nil, info, err
	}
	if err := p.Verify(); err != nil {
		return nil, info, err
	}
	rest, err := asn1.Unmarshal(p.Content, &info)
	if err != nil || len(rest) > 0 {
		return nil, info, errDER
	}
	return p, info, nil
}
