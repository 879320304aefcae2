package proof

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"fettlebook/journal"

	"golang.org/x/mod/sumdb/note"
)

// Origin is the name of a device's log and of the key that signs it.
func Origin(shop journal.ShopID, device journal.DeviceID) string {
	return "fettlebook/" + string(shop) + "/" + string(device)
}

// CosignerName is the name of the hub's countersigning key.
func CosignerName(shop journal.ShopID) string { return "fettlebook/" + string(shop) + "/hub" }

// The algorithm bytes of C2SP signed-note keys.
const (
	algEd25519  = 1
	algCosigned = 4
)

// Key is an Ed25519 private key with the name it signs under. It prints as a
// mask; only Secret shows it, for the key file.
type Key struct {
	name string
	// A function, because no print looks into one: whoever holds a key in a
	// private field is not asked for the mask.
	seed func() []byte
}

// NewKey draws a key.
func NewKey(rand io.Reader, name string) (Key, error) {
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(rand, seed); err != nil {
		return Key{}, fmt.Errorf("draw a key: %w", err)
	}
	return Key{name: name, seed: func() []byte { return seed }}, nil
}

// errKey does not repeat the text: it may be half of a secret.
var errKey = errors.New("this is not a signing key of fettlebook; restore the key file from your backup or join the shop again")

// ParseKey reads what [Key.Secret] wrote.
func ParseKey(text string) (Key, error) {
	text = strings.TrimSpace(text)
	if _, err := note.NewSigner(text); err != nil {
		return Key{}, errKey
	}
	fields := strings.SplitN(text, "+", 5)
	raw, err := base64.StdEncoding.DecodeString(fields[4])
	if err != nil || len(raw) != 1+ed25519.SeedSize {
		return Key{}, errKey
	}
	k := Key{name: fields[2], seed: func() []byte { return raw[1:] }}
	if k.Secret() != text { // another spelling of the same key
		return Key{}, errKey
	}
	return k, nil
}

// Secret returns the key in the form of a note's signer key.
func (k Key) Secret() string {
	return fmt.Sprintf("PRIVATE+KEY+%s+%08x+%s", k.name, keyHash(k.name, algEd25519, k.public()),
		base64.StdEncoding.EncodeToString(append([]byte{algEd25519}, k.seed()...)))
}

// String returns a mask.
func (k Key) String() string { return "key " + k.name + " (secret)" }

// GoString returns a mask.
func (k Key) GoString() string { return k.String() }

// Name returns the name the key signs under.
func (k Key) Name() string { return k.name }

// IsZero reports whether there is no key.
func (k Key) IsZero() bool { return k.seed == nil }

func (k Key) private() ed25519.PrivateKey { return ed25519.NewKeyFromSeed(k.seed()) }

func (k Key) public() ed25519.PublicKey { return k.private().Public().(ed25519.PublicKey) }

// Verifier returns the public half in the form of a note's verifier key,
// for logs signed with [Key.Signer] or cosigned with [Key.Cosigner].
func (k Key) Verifier() string {
	return fmt.Sprintf("%s+%08x+%s", k.name, keyHash(k.name, algEd25519, k.public()),
		base64.StdEncoding.EncodeToString(append([]byte{algEd25519}, k.public()...)))
}

// Sign signs a message outside of any log, such as a request to join. The
// purpose is signed with it, so that no such signature is ever a checkpoint.
func (k Key) Sign(purpose string, msg []byte) []byte {
	return ed25519.Sign(k.private(), append([]byte("fettlebook "+purpose+"\x00"), msg...))
}

// VerifySign checks what [Key.Sign] signed against a verifier key.
func VerifySign(verifier, purpose string, msg, sig []byte) bool {
	fields := strings.SplitN(verifier, "+", 3)
	if len(fields) != 3 {
		return false
	}
	raw, err := base64.StdEncoding.DecodeString(fields[2])
	if err != nil || len(raw) != 1+ed25519.PublicKeySize || raw[0] != algEd25519 {
		return false
	}
	return ed25519.Verify(raw[1:], append([]byte("fettlebook "+purpose+"\x00"), msg...), sig)
}

// keyHash is the key id of C2SP signed-note: the first four bytes of
// SHA-256(name, newline, algorithm, public key).
func keyHash(name string, alg byte, public ed25519.PublicKey) uint32 {
	h := sha256.New()
	io.WriteString(h, name)
	h.Write([]byte{'\n', alg})
	h.Write(public)
	return binary.BigEndian.Uint32(h.Sum(nil))
}

// signer signs notes with one key, plainly or as a cosignature with a time.
type signer struct {
	name string
	hash uint32
	sign func(msg []byte) []byte
}

var _ note.Signer = (*signer)(nil)

func (s *signer) Name() string                    { return s.name }
func (s *signer) KeyHash() uint32                 { return s.hash }
func (s *signer) Sign(msg []byte) ([]byte, error) { return s.sign(msg), nil }

// Signer signs a device's checkpoints.
func (k Key) Signer() note.Signer {
	private := k.private()
	return &signer{name: k.name, hash: keyHash(k.name, algEd25519, k.public()), sign: func(msg []byte) []byte {
		return ed25519.Sign(private, msg)
	}}
}

// Cosigner countersigns checkpoints with the time of now, in whole seconds
// (C2SP tlog-cosignature, cosignature/v1).
func (k Key) Cosigner(now func() time.Time) note.Signer {
	private := k.private()
	return &signer{name: k.name, hash: keyHash(k.name, algCosigned, k.public()), sign: func(msg []byte) []byte {
		at := now().Unix()
		text := fmt.Appendf(nil, "cosignature/v1\ntime %d\n%s", at, msg)
		return append(binary.BigEndian.AppendUint64(nil, uint64(at)), ed25519.Sign(private, text)...)
	}}
}
