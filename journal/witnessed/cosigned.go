package witnessed

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal/proof"

	cosign "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
)

// Cosignature is what a witness says of a state: by this time it had been
// shown it, and it had grown out of all that it was shown before.
type Cosignature struct {
	Witness string // the name of its key
	Time    time.Time
}

// Cosigned returns the cosignatures on a signed note that verify by one of the
// keys, by rising time. Other lines are passed over.
func Cosigned(signed []byte, keys ...note.Verifier) ([]Cosignature, error) {
	n, err := note.Open(signed, note.VerifierList(keys...))
	var none *note.UnverifiedNoteError
	if errors.As(err, &none) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read cosignatures: %w", err)
	}
	var list []Cosignature
	for _, s := range n.Sigs {
		at, err := cosign.CoSigV1Timestamp(s)
		if err != nil {
			return nil, fmt.Errorf("read cosignatures: %w", err)
		}
		list = append(list, Cosignature{s.Name, at.UTC()})
	}
	slices.SortStableFunc(list, func(a, b Cosignature) int { return a.Time.Compare(b.Time) })
	return list, nil
}

// ErrNoCosignature is wrapped when what a witness answered is not its
// cosignature of the state.
var ErrNoCosignature = errors.New("the witness did not sign this state")

// AddLines adds to a signed note those of a witness's lines that its key signed.
func AddLines(signed []byte, lines string, key note.Verifier) ([]byte, error) {
	both, err := note.Open([]byte(string(signed)+lines), note.VerifierList(key))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoCosignature, err)
	}
	if _, err := cosign.CoSigV1Timestamp(both.Sigs[0]); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoCosignature, err)
	}
	added := string(signed)
	for line := range strings.Lines(lines) {
		alone, err := note.Open([]byte(both.Text+"\n"+line), note.VerifierList(key))
		if err == nil && len(alone.Sigs) == 1 && !strings.Contains(added, line) {
			added += line
		}
	}
	// What was signed may be the state with more behind it: then its line does
	// not hold beneath the state itself, and nobody could read that any more.
	if _, err := note.Open([]byte(added), note.VerifierList(key)); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoCosignature, err)
	}
	return []byte(added), nil
}

// Verifier reads the key of a witness, in the verifier form of a signed note.
func Verifier(text string) (note.Verifier, error) { return proof.CosignVerifier(text) }
