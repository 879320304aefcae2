package segment

import (
	"encoding/base64"
	"errors"
	"strings"

	"fettlebook/journal"

	"github.com/fxamacker/cbor/v2"
)

// Appeal is what a hub shows to its tablets when it had to go on without the
// keys from before: each tablet's person is asked to agree. It holds the entry
// that changes the keys, as it lies in the hub's log, and where the hub's
// broker is. Nothing in it is secret.
type Appeal struct {
	Brokers []string `cbor:"1,keyasint"` // host:port
	Entry   []byte   `cbor:"2,keyasint"` // keys.changed
}

// AgreedKeys are keys of a hub by their fingerprint, with the fingerprint of
// the certificate that came with them, which count for whoever agreed to them.
type AgreedKeys struct {
	Keys        journal.Digest `json:"keys"`
	Certificate string         `json:"certificate"`
}

// AgreePurpose is signed with the fingerprint of the keys that a tablet's
// person agreed to, so that no such signature is anything else.
const AgreePurpose = "agree"

const appealPrefix = "FETTLEKEYS1."

// ErrAppeal is wrapped when a text is not an appeal.
var ErrAppeal = errors.New("this does not ask to agree to a hub’s new keys; copy the whole text that `hub found-keys` wrote, beginning with FETTLEKEYS1")

// String returns the text form.
func (a Appeal) String() string {
	raw, err := cbor.Marshal(a)
	if err != nil { // texts and bytes always encode
		return ""
	}
	return appealPrefix + base64.RawURLEncoding.EncodeToString(raw)
}

// ParseAppeal reads the text form; blanks and line breaks are forgiven.
func ParseAppeal(text string) (Appeal, error) {
	var a Appeal
	body, ok := strings.CutPrefix(strings.Join(strings.Fields(text), ""), appealPrefix)
	if !ok || len(body) > 2*journal.MaxEntryBytes {
		return a, ErrAppeal
	}
	raw, err := base64.RawURLEncoding.DecodeString(body)
	if err != nil || cbor.Unmarshal(raw, &a) != nil || len(a.Entry) == 0 || len(a.Entry) > journal.MaxEntryBytes || len(a.Brokers) > MostBrokers {
		return Appeal{}, ErrAppeal
	}
	return a, nil
}
