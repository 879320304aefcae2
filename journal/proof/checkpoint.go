package proof

import (
	"errors"
	"fmt"
	"time"

	"fettlebook/journal"

	"github.com/transparency-dev/formats/log"
	cosign "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Checkpoint is a verified state of a log.
type Checkpoint struct {
	Origin string
	Size   int64
	Root   tlog.Hash
	Note   []byte // the signed note, as it came
}

// Seen returns the state in the form that entries cite.
func (c Checkpoint) Seen() journal.Seen { return journal.Seen{Size: c.Size, Root: c.Root} }

// Sign writes the checkpoint of a log's state, signed with the device's key.
func Sign(s note.Signer, size int64, root tlog.Hash) ([]byte, error) {
	text := log.Checkpoint{Origin: s.Name(), Size: uint64(size), Hash: root[:]}.Marshal()
	signed, err := note.Sign(&note.Note{Text: string(text)}, s)
	if err != nil {
		return nil, fmt.Errorf("sign checkpoint: %w", err)
	}
	return signed, nil
}

// ErrCheckpoint is wrapped when a checkpoint does not verify.
var ErrCheckpoint = errors.New("this checkpoint is not signed by the device")

// Verifier reads a verifier key as found in a device.enrolled entry.
func Verifier(text string) (note.Verifier, error) {
	v, err := note.NewVerifier(text)
	if err != nil {
		return nil, fmt.Errorf("read verifier key %.60q: %w", text, err)
	}
	return v, nil
}

// Open verifies a checkpoint of the log whose key is given. Other
// signatures on the note, such as the hub's, are left alone.
func Open(signed []byte, device note.Verifier) (Checkpoint, error) {
	c, _, n, err := log.ParseCheckpoint(signed, device.Name(), device)
	if err != nil {
		return Checkpoint{}, fmt.Errorf("%w: %w", ErrCheckpoint, err)
	}
	// One state has one text: no further lines, no 007.
	if string(c.Marshal()) != n.Text || len(c.Hash) != tlog.HashSize || c.Size > journal.MaxLog {
		return Checkpoint{}, fmt.Errorf("%w: its text is malformed", ErrCheckpoint)
	}
	return Checkpoint{Origin: c.Origin, Size: int64(c.Size), Root: tlog.Hash(c.Hash), Note: signed}, nil
}

// Countersign adds the hub's cosignature to a device's checkpoint that has
// been verified and committed.
func Countersign(c Checkpoint, device note.Verifier, hub note.Signer) ([]byte, error) {
	n, err := note.Open(c.Note, note.VerifierList(device))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrCheckpoint, err)
	}
	signed, err := note.Sign(n, hub)
	if err != nil {
		return nil, fmt.Errorf("countersign checkpoint: %w", err)
	}
	return signed, nil
}

// Alone takes all signatures but the device's off a checkpoint.
func Alone(signed []byte, device note.Verifier) ([]byte, error) {
	n, err := note.Open(signed, note.VerifierList(device))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrCheckpoint, err)
	}
	return fmt.Appendf(nil, "%s\n— %s %s\n", n.Text, n.Sigs[0].Name, n.Sigs[0].Base64), nil
}

// CosignVerifier reads the hub's verifier key for countersignatures.
func CosignVerifier(text string) (note.Verifier, error) {
	v, err := cosign.NewVerifierForCosignatureV1(text)
	if err != nil {
		return nil, fmt.Errorf("read countersigning key %.60q: %w", text, err)
	}
	return v, nil
}

// ErrNotCountersigned is wrapped when the hub's cosignature is missing or wrong.
var ErrNotCountersigned = errors.New("this checkpoint is not countersigned by the hub")

// OpenCountersigned verifies both signatures and returns the hub's time.
func OpenCountersigned(signed []byte, device, hub note.Verifier) (Checkpoint, time.Time, error) {
	c, err := Open(signed, device)
	if err != nil {
		return Checkpoint{}, time.Time{}, err
	}
	at, err := countersigned(signed, hub)
	if err != nil {
		return Checkpoint{}, time.Time{}, err
	}
	return c, at, nil
}

// countersigned verifies the hub's cosignature alone and returns its time.
func countersigned(signed []byte, hub note.Verifier) (time.Time, error) {
	n, err := note.Open(signed, note.VerifierList(hub))
	if err != nil {
		return time.Time{}, fmt.Errorf("%w: %w", ErrNotCountersigned, err)
	}
	at, err := cosign.CoSigV1Timestamp(n.Sigs[0])
	if err != nil {
		return time.Time{}, fmt.Errorf("%w: %w", ErrNotCountersigned, err)
	}
	return at.UTC(), nil
}
