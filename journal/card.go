package journal

import (
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"fmt"
	"io"

	"github.com/go-json-experiment/json"
)

// Card holds the personal details of a customer. It lies beside the log,
// newest wins, and can be erased; the log only holds its commitments.
type Card struct {
	Card    CardID  `json:"card"`
	Details Details `json:"details"`
	// Salt makes the commitment say nothing to who does not have the card:
	// names and telephone numbers are few enough to be guessed.
	Salt Salt `json:"salt"`
	// Written is the card.written entry that committed to this state. The
	// greater id is the newer card.
	Written EntryID `json:"written,omitzero"`
}

// Details are the personal details, as given.
type Details struct {
	Name    string `json:"name"`
	Phone   string `json:"phone,omitzero"`
	Mail    string `json:"mail,omitzero"`
	Address string `json:"address,omitzero"`
}

// CardState is a customer card as it lies here: written, or erased with
// nothing left but its name.
type CardState struct {
	Card    Card
	Erased  bool
	Changed EntryID // the entry that wrote or erased it; the greater wins
	Rev     int64   // rises with every change in this database
}

// Salt is 32 random bytes.
type Salt = Digest

// Commitment is SHA-256 over the salt and the card's details.
type Commitment = Digest

// ErrCardErased is returned for a card whose details were erased.
var ErrCardErased = errors.New("this customer card was erased")

// ErrNoCard is returned for a card that is not here.
var ErrNoCard = errors.New("this customer card is not here yet")

// NewCard writes a card with a fresh salt.
func NewCard(id CardID, d Details, rand io.Reader) (Card, error) {
	if d.Name == "" {
		return Card{}, errors.New("the customer’s name is missing")
	}
	c := Card{Card: id, Details: d}
	if _, err := io.ReadFull(rand, c.Salt[:]); err != nil {
		return Card{}, fmt.Errorf("draw a salt: %w", err)
	}
	return c, nil
}

// Commitment computes SHA-256 of the salt followed by the details as JSON
// with its members in the order of [Details].
func (c *Card) Commitment() (Commitment, error) {
	raw, err := json.Marshal(c.Details, json.Deterministic(true))
	if err != nil {
		return Commitment{}, fmt.Errorf("commit to card %s: %w", c.Card, err)
	}
	return sha256.Sum256(append(c.Salt[:], raw...)), nil
}

// Opens reports whether the card is the one that was committed to.
func (c *Card) Opens(to Commitment) bool {
	got, err := c.Commitment()
	return err == nil && subtle.ConstantTimeCompare(got[:], to[:]) == 1
}
