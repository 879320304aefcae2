package folder

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media/durable"
	"fettlebook/sync/segment"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Role is what a data folder is for.
type Role string

// A folder is joining from before its keys are drawn until the hub has
// answered, so that a lost answer can be asked for again with the same keys. It
// is founding until a new shop's first entries are written; till then it counts
// as none, and what is in it may be thrown away.
const (
	Hub      Role = "hub"
	Tablet   Role = "tablet"
	Joining  Role = "joining"
	Founding Role = "founding"
)

// Identity is what stands in shop.json: nothing secret, nothing personal.
type Identity struct {
	Role     Role             `json:"role"`
	Shop     journal.ShopID   `json:"shop,omitzero"`
	ShopName string           `json:"shop_name,omitzero"`
	Device   journal.DeviceID `json:"device,omitzero"`
	Name     string           `json:"name,omitzero"`

	Hub         journal.DeviceID `json:"hub,omitzero"`        // the hub's own log
	HubKey      string           `json:"hub_key,omitzero"`    // verifies it
	CosignKey   string           `json:"cosign_key,omitzero"` // verifies its countersignatures
	Fingerprint string           `json:"fingerprint,omitzero"`
	Brokers     []string         `json:"brokers,omitempty"` // a tablet's way to the hub

	Host       string   `json:"host,omitzero"`      // a hub listens here
	DeskPort   int      `json:"desk_port,omitzero"` // for those who join
	BrokerPort int      `json:"broker_port,omitzero"`
	Addresses  []string `json:"addresses,omitempty"` // host names or numbers under which tablets find the hub
	// Named are those of them that somebody named; the others are the machine's own, and are
	// looked for again at each start. Nil in a folder of an earlier program, which did not tell
	// them apart.
	Named []string `json:"named,omitzero"`

	// Agreed are keys of the hub that are taken for its own here though the
	// keys before them did not sign them, the last ones last.
	Agreed []segment.AgreedKeys `json:"agreed,omitempty"`

	// Earlier lists the logs that this machine wrote before it joined again.
	Earlier []journal.DeviceID `json:"earlier,omitempty"`
	// Owed lists those of them of which work is still to be taken over.
	Owed []Owed `json:"owed,omitempty"`

	// Signed is the device's signature over all the rest, so that no other program changed a
	// word of it unseen. A folder of an earlier program has none.
	Signed []byte `json:"signed,omitzero"`
}

// signPurpose keeps the signature apart from any other of the same key.
const signPurpose = "folder"

// statement is what is signed.
func (id Identity) statement() ([]byte, error) {
	id.Signed = nil
	return id.encode()
}

func (id Identity) encode() ([]byte, error) {
	raw, err := json.Marshal(id, jsontext.WithIndent("  "))
	if err != nil {
		return nil, fmt.Errorf("encode identity: %w", err)
	}
	return append(raw, '\n'), nil
}

// sign signs with the log key of the folder if that is the device's; before it is drawn
// there is nothing to sign with.
func (id *Identity) sign(dir string) error {
	id.Signed = nil
	key, err := ReadProofKey(dir, LogKey)
	if err != nil || !strings.HasPrefix(key.Verifier(), proof.Origin(id.Shop, id.Device)+"+") {
		return nil // whoever needs the key says that it is missing
	}
	text, err := id.statement()
	if err == nil {
		id.Signed = key.Sign(signPurpose, text)
	}
	return err
}

// CheckIdentity says in a sentence what is wrong with the bytes of shop.json, "" for nothing;
// key verifies the device's signature. signed reports whether there is one.
func CheckIdentity(dir, key string) (wrong string, signed bool) {
	raw, err := os.ReadFile(filepath.Join(dir, identityFile))
	if err != nil {
		return fmt.Sprintf("It cannot be read: %v.", err), false
	}
	var id Identity
	if err := json.Unmarshal(raw, &id, json.RejectUnknownMembers(true)); err != nil {
		return fmt.Sprintf("It cannot be read: %v.", err), false
	}
	again, err := id.encode()
	if err == nil && !bytes.Equal(again, raw) {
		return "It is not written as the program writes it.", len(id.Signed) > 0
	}
	text, err := id.statement()
	if err == nil && len(id.Signed) > 0 && !proof.VerifySign(key, signPurpose, text, id.Signed) {
		return "What it says is not what this device signed.", true
	}
	return "", len(id.Signed) > 0
}

// agreed lists the fingerprints.
func (id Identity) agreed() []journal.Digest {
	var list []journal.Digest
	for _, a := range id.Agreed {
		list = append(list, a.Keys)
	}
	return list
}

// Owed is a log of which nobody has taken over yet what counts no more: its
// entries from Counts on. Counts is missing while the register does not say.
type Owed struct {
	Device journal.DeviceID `json:"device"`
	Counts *int64           `json:"counts,omitempty"`
	Branch journal.Branch   `json:"branch,omitzero"`
}

// Authority is whose word counts in the folder's shop.
func (id Identity) Authority() journal.Authority {
	return journal.Authority{Shop: id.Shop, Hub: id.Hub}
}

// ErrNoFolder is wrapped when a folder is not a data folder yet.
var ErrNoFolder = errors.New("there is no journal in this folder; make one with `hub init` or `tablet join`, or name another with --data")

// ErrIdentity is wrapped when shop.json cannot be read.
var ErrIdentity = errors.New("the file shop.json is damaged or newer; restore it from your backup, or use the version of fettlebook that wrote it")

// ErrUnnamed is wrapped when a journal or its key lies in a folder that does not say whose
// they are.
var ErrUnnamed = errors.New("a journal or its key lies in this folder, and the file shop.json that belongs to them is missing; restore that file from your backup, or name another folder with --data")

const identityFile = "shop.json"

// ReadIdentity reads a folder's identity.
func ReadIdentity(dir string) (Identity, error) {
	var id Identity
	raw, err := os.ReadFile(filepath.Join(dir, identityFile))
	if errors.Is(err, fs.ErrNotExist) {
		return id, fmt.Errorf("%w (%s)", nameless(dir), dir)
	}
	if err != nil {
		return id, fmt.Errorf("read identity: %w", err)
	}
	if err := json.Unmarshal(raw, &id, json.RejectUnknownMembers(true)); err != nil {
		return id, fmt.Errorf("%w (%s: %w)", ErrIdentity, dir, err)
	}
	if id.Role == Founding {
		return id, fmt.Errorf("%w; the last one did not finish (%s)", ErrNoFolder, dir)
	}
	return id, nil
}

// nameless is what a folder without an identity is: none yet, or one that lost it. To begin
// there would draw new keys over those of a journal.
func nameless(dir string) error {
	for _, path := range []string{DatabasePath(dir), filepath.Join(dir, "keys", LogKey)} {
		if info, err := os.Stat(path); err == nil && info.Size() > 0 {
			return ErrUnnamed
		}
	}
	return ErrNoFolder
}

// WriteIdentity makes the folder and writes its identity, durably.
func WriteIdentity(dir string, id Identity) error {
	if err := durable.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("make data folder: %w", err)
	}
	if err := id.sign(dir); err != nil {
		return err
	}
	raw, err := id.encode()
	if err != nil {
		return err
	}
	if err := durable.WriteFile(filepath.Join(dir, identityFile), raw, 0o600); err != nil {
		return fmt.Errorf("write identity: %w", err)
	}
	return nil
}
