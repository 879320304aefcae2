package journal

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"strings"

	"fettlebook/journal/words"
)

// KeyChange is the data of keys.changed: from the state of the hub's log on
// that covers this entry the hub signs its log with LogKey and countersigns
// with CosignKey, and no longer with the keys from before. Whether it counts
// is not for the fold to say but for the signatures in it (proof.Succession).
// Where the old keys are not here any more it has no signature of theirs: then
// it counts for whoever agreed to it, each tablet by itself (KeyAgreement).
//
// The word of the old countersigning key stays good as far as this entry had
// seen: of the hub's log before it, and of every other log what its after
// cites, or Held where that cites nothing.
type KeyChange struct {
	Because KeyReason `json:"because"`

	OldLogKey    string `json:"old_log_key"`
	OldCosignKey string `json:"old_cosign_key"`
	LogKey       string `json:"log_key"`
	CosignKey    string `json:"cosign_key"`
	// Certificate is the fingerprint of the certificate with which the hub
	// answers from now on: SHA-256 of its public key, 64 digits.
	Certificate string `json:"certificate"`
	// Held is how far logs that count no more were countersigned: those that
	// the entry's after leaves out.
	Held After `json:"held,omitzero"`

	// The old log key, the new one and the new countersigning key each signed
	// all of the above with the names of shop and hub (Ed25519, in base64).
	OldSigned    string `json:"old_signed,omitzero"`
	LogSigned    string `json:"log_signed"`
	CosignSigned string `json:"cosign_signed"`
	Evidence
}

// KeyReason says why the hub's keys were changed.
type KeyReason = Choice[keyReasons]

type keyReasons struct{}

func (keyReasons) words() []string { return written(KeysRenewed, KeysLost, KeysStolen) }

// The words of [KeyReason].
const (
	KeysRenewed KeyReason = "renewed" // nothing had happened to the old ones
	KeysLost    KeyReason = "lost"    // a copy of them is somewhere
	KeysStolen  KeyReason = "stolen"  // somebody has them who must not
)

func (*KeyChange) Kind() Kind { return KeysChanged }

func (p *KeyChange) Say() string {
	return fmt.Sprintf("the hub’s keys were changed%s%s; the fingerprint of the new ones begins with %s", KeyReasonSaid(p.Because), words.If(p.Unsigned(), ", without a signature of theirs"), HubFingerprint(p.LogKey, p.CosignKey).Begins())
}

// Unsigned reports whether the old keys did not sign the change.
func (p *KeyChange) Unsigned() bool { return p.OldSigned == "" }

// New is what the new keys are known by.
func (p *KeyChange) New() Digest { return HubFingerprint(p.LogKey, p.CosignKey) }

// KeyAgreement is the data of keys.agreed, which stands in the log of the
// tablet that it is about: its person agreed there that the hub goes on with
// other keys, though the old ones did not sign them. Old and New are the
// fingerprints; Size and Root are how much of the hub's log the tablet held.
type KeyAgreement struct {
	Device DeviceID `json:"device"`
	Old    Digest   `json:"old"`
	New    Digest   `json:"new"`
	Size   int64    `json:"size" span:"log"`
	Root   Digest   `json:"root"`
	Evidence
}

func (*KeyAgreement) Kind() Kind { return KeysAgreed }

func (p *KeyAgreement) Say() string {
	return fmt.Sprintf("tablet %s agreed that the hub goes on with the keys whose fingerprint begins with %s, instead of %s", p.Device, p.New.Begins(), p.Old.Begins())
}

// KeyReasonSaid is the reason as the end of a clause: " because the old ones
// were stolen"; "" where they were only renewed.
func KeyReasonSaid(because KeyReason) string {
	return words.If(because != KeysRenewed, fmt.Sprintf(" because the old ones were %s", because))
}

// HubFingerprint says which keys a hub has: SHA-256 of its log key and its
// countersigning key, in verifier form, a line each.
func HubFingerprint(logKey, cosignKey string) Digest {
	return sha256.Sum256([]byte(logKey + "\n" + cosignKey + "\n"))
}

// Begins is as much of a hash as people compare, in groups: "3f9a 02bc 77d1 e004".
func (d Digest) Begins() string {
	var groups []string
	for i := range 4 {
		groups = append(groups, hex.EncodeToString(d[2*i:2*i+2]))
	}
	return strings.Join(groups, " ")
}

func (p *KeyChange) check(wrong *problems) {
	if raw, err := hex.DecodeString(p.Certificate); err != nil || len(raw) != sha256.Size || strings.ToLower(p.Certificate) != p.Certificate {
		wrong.add("certificate", NotReadable, "is not a fingerprint of 64 lower-case digits")
	}
	for _, s := range []struct{ field, text string }{{"old_signed", p.OldSigned}, {"log_signed", p.LogSigned}, {"cosign_signed", p.CosignSigned}} {
		if s.text == "" {
			continue // said where it must be given
		}
		if raw, err := base64.StdEncoding.Strict().DecodeString(s.text); err != nil || len(raw) != 64 { // RFC 8032
			wrong.add(s.field, NotReadable, "is not a signature in base64")
		}
	}
	if p.OldLogKey == p.LogKey || p.OldCosignKey == p.CosignKey {
		wrong.add("", Clash, "the new keys must be others than the old ones")
	}
}

// Statement is what the three signatures sign.
func (p *KeyChange) Statement(shop ShopID, hub DeviceID) []byte {
	held, _ := p.Held.MarshalText() // which never fails
	return fmt.Appendf(nil, "change of keys\n%s\n%s\n%s\n%s\n%s\n%s\n%s\n%s\n%s\n",
		shop, hub, p.Because, p.OldLogKey, p.OldCosignKey, p.LogKey, p.CosignKey, p.Certificate, held)
}
