package segment

import (
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"time"

	"fettlebook/journal"

	"github.com/fxamacker/cbor/v2"
)

// Invitation is what a hub shows to a tablet that is to join, as text or QR
// code. The token works once, until it expires.
type Invitation struct {
	Shop        string   `cbor:"1,keyasint"`           // the shop, as in every entry's source
	Addresses   []string `cbor:"2,keyasint"`           // host:port of the hub's joining desk, tried in turn
	Fingerprint string   `cbor:"3,keyasint"`           // of the hub's certificate
	Token       []byte   `cbor:"4,keyasint"`           // 16 random bytes
	Expires     int64    `cbor:"5,keyasint"`           // Unix seconds
	Name        string   `cbor:"6,keyasint,omitempty"` // what the tablet is to be called
	ShopName    string   `cbor:"7,keyasint,omitempty"` // for the person
}

const invitationPrefix = "FETTLE1."

// ErrInvitation is wrapped when a text is not an invitation.
var ErrInvitation = errors.New("this is not an invitation; copy the whole line that `hub invite` printed, beginning with FETTLE1")

// String returns the text form.
func (i Invitation) String() string {
	raw, err := cbor.Marshal(i)
	if err != nil { // text, bytes and a number always encode
		return ""
	}
	return invitationPrefix + base64.RawURLEncoding.EncodeToString(raw)
}

// ParseInvitation reads the text form; blanks and line breaks from a message
// or a terminal are forgiven.
func ParseInvitation(text string) (Invitation, error) {
	var i Invitation
	text = strings.Join(strings.Fields(text), "")
	body, ok := strings.CutPrefix(text, invitationPrefix)
	if !ok || len(body) > 4096 {
		return i, ErrInvitation
	}
	raw, err := base64.RawURLEncoding.DecodeString(body)
	if err != nil {
		return i, ErrInvitation
	}
	if err := cbor.Unmarshal(raw, &i); err != nil {
		return i, ErrInvitation
	}
	if i.Shop == "" || len(i.Addresses) == 0 || i.Fingerprint == "" || len(i.Token) == 0 {
		return i, ErrInvitation
	}
	return i, nil
}

// Expired reports whether the invitation is past its time.
func (i Invitation) Expired(now time.Time) bool { return now.Unix() > i.Expires }

// JoinPurpose is signed with a request to join, so that the signature can
// never be taken for a checkpoint.
const JoinPurpose = "join"

// JoinRequest is what a tablet posts to the joining desk, as JSON over TLS.
type JoinRequest struct {
	Token      []byte           `json:"token"`
	Device     journal.DeviceID `json:"device"`
	Name       string           `json:"name"`
	LogKey     string           `json:"log_key"`
	ConnectKey string           `json:"connect_key"`
	Replaces   journal.DeviceID `json:"replaces,omitzero"`
	LogProof   []byte           `json:"log_proof"`     // by the log key over Statement
	LineProof  []byte           `json:"connect_proof"` // by the connection key over Statement
}

// Statement is what both proofs sign: that these keys ask, with this token.
func (r *JoinRequest) Statement() []byte {
	return fmt.Appendf(nil, "fettlebook join\n%x\n%s\n%s\n%s\n", r.Token, r.Device, r.LogKey, r.ConnectKey)
}

// JoinReply is the joining desk's answer: Refused, or all that a tablet must
// know of its shop.
type JoinReply struct {
	Refused   string           `json:"refused,omitzero"`
	Shop      journal.ShopID   `json:"shop,omitzero"`
	ShopName  string           `json:"shop_name,omitzero"`
	Hub       journal.DeviceID `json:"hub,omitzero"`
	HubKey    string           `json:"hub_key,omitzero"`    // of the hub's log
	CosignKey string           `json:"cosign_key,omitzero"` // of its countersignatures
	Port      int              `json:"port,omitzero"`       // of the broker, on the same host
	// Agreed are the hub's keys that those before them did not sign: who joins
	// by an invitation of this hub agrees to them.
	Agreed []AgreedKeys `json:"agreed,omitempty"`

	// Revoked says with a refusal that the device was revoked: under another
	// name and with other keys it may join again, and take its work along.
	Revoked bool `json:"revoked,omitzero"`
	// Replaced is how much of the log counts that this one follows; nil while
	// the register does not say.
	Replaced *Replaced `json:"replaced,omitzero"`
}

// Replaced is how much of a log counts that was closed, and why it was.
type Replaced struct {
	Counts int64          `json:"counts"`
	Branch journal.Branch `json:"branch"`
}

// JoinPath is where requests to join are posted.
const JoinPath = "/join"
