package gate

import (
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/crypto/argon2"
)

// ErrPassphraseFile says that the file of the passphrase is damaged.
var ErrPassphraseFile = errors.New("the file of the desk’s passphrase is damaged, so nobody can sign in; set the passphrase again on the hub")

// cost is what one guess takes.
type cost struct {
	memory  uint32 // KiB
	passes  uint32
	threads uint8
}

// deskCost is the least that OWASP's Password Storage Cheat Sheet advises for
// argon2id: 19 MiB, 2 passes, 1 thread. RFC 9106 section 4 takes 64 MiB, 3
// passes and 4 threads as its second choice. The hub may be a machine of 1 GiB
// that serves pages and photographs meanwhile, and who can read this file can
// read the shop's keys beside it: the hash need only keep the passphrase itself
// from being read, and each guess through the pages is slowed down besides.
func deskCost() cost { return cost{memory: 19 << 10, passes: 2, threads: 1} }

// within keeps a file that somebody wrote from eating the machine: at most 256
// MiB and 16 passes. RFC 9106 section 3.1 wants 8 KiB for each thread at least.
func (c cost) within() bool {
	return c.threads >= 1 && c.threads <= 16 && c.passes >= 1 && c.passes <= 16 &&
		c.memory >= 8*uint32(c.threads) && c.memory <= 256<<10
}

// Lengths in bytes; RFC 9106 section 4 draws 16 of salt and 32 of tag.
const (
	saltLength, minSalt, maxSalt = 16, 8, 64
	tagLength, minTag, maxTag    = 32, 16, 64
)

// hash is a passphrase that can be checked and not read, by argon2id (RFC 9106)
// version 19.
type hash struct {
	cost
	salt, tag []byte
}

func newHash(rand io.Reader, passphrase string, c cost) (hash, error) {
	salt := make([]byte, saltLength)
	if _, err := io.ReadFull(rand, salt); err != nil {
		return hash{}, fmt.Errorf("draw salt: %w", err)
	}
	h := hash{cost: c, salt: salt}
	h.tag = h.tagOf(passphrase, tagLength)
	return h, nil
}

func (h hash) tagOf(passphrase string, length int) []byte {
	return argon2.IDKey([]byte(passphrase), h.salt, h.passes, h.memory, h.threads, uint32(length))
}

func (h hash) fits(passphrase string) bool {
	return subtle.ConstantTimeCompare(h.tag, h.tagOf(passphrase, len(h.tag))) == 1
}

const phcForm = "$argon2id$v=19$m=%d,t=%d,p=%d$"

// phc writes the PHC string format.
func (h hash) phc() string {
	b64 := base64.RawStdEncoding
	return fmt.Sprintf(phcForm, h.memory, h.passes, h.threads) + b64.EncodeToString(h.salt) + "$" + b64.EncodeToString(h.tag)
}

// parsePHC reads what phc writes and nothing else. Errors are
// [ErrPassphraseFile].
func parsePHC(text string) (hash, error) {
	var h hash
	if _, err := fmt.Sscanf(text, phcForm, &h.memory, &h.passes, &h.threads); err != nil {
		return hash{}, fmt.Errorf("%w: %w", ErrPassphraseFile, err)
	}
	parts := strings.Split(text, "$")
	if len(parts) != 6 {
		return hash{}, ErrPassphraseFile
	}
	var errSalt, errTag error
	h.salt, errSalt = base64.RawStdEncoding.DecodeString(parts[4])
	h.tag, errTag = base64.RawStdEncoding.DecodeString(parts[5])
	if err := errors.Join(errSalt, errTag); err != nil {
		return hash{}, fmt.Errorf("%w: %w", ErrPassphraseFile, err)
	}
	if !h.within() || len(h.salt) < minSalt || len(h.salt) > maxSalt || len(h.tag) < minTag || len(h.tag) > maxTag || h.phc() != text {
		return hash{}, ErrPassphraseFile
	}
	return h, nil
}
