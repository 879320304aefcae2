package journal_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

func newCard(t *testing.T, d journal.Details) journal.Card {
	t.Helper()
	c, err := journal.NewCard("c7w1m3e9", d, journaltest.Rand("a card"))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func commitment(t *testing.T, c journal.Card) journal.Commitment {
	t.Helper()
	got, err := c.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestCommitmentOpens(t *testing.T) {
	card := newCard(t, journal.Details{Name: "N. Ample", Phone: "555 0114", Mail: "n@example.org", Address: "1 Kiln Lane"})
	to := commitment(t, card)
	if !card.Opens(to) {
		t.Fatal("the card does not open its own commitment")
	}
	for name, change := range map[string]func(*journal.Card){
		"name":    func(c *journal.Card) { c.Details.Name = "N. Amply" },
		"phone":   func(c *journal.Card) { c.Details.Phone = "" },
		"mail":    func(c *journal.Card) { c.Details.Mail += "x" },
		"address": func(c *journal.Card) { c.Details.Address, c.Details.Mail = c.Details.Mail, c.Details.Address },
		"salt":    func(c *journal.Card) { c.Salt[31] ^= 1 },
	} {
		other := card
		change(&other)
		if other.Opens(to) {
			t.Errorf("a card with another %s opens the commitment", name)
		}
	}
	moved := card
	moved.Written = journal.EntryID{1}
	if !moved.Opens(to) {
		t.Error("the entry that committed is not a part of the commitment")
	}
}

// The formula, worked out by hand: SHA-256 of salt and JSON.
func TestCommitmentFormula(t *testing.T) {
	card := newCard(t, journal.Details{Name: `N. "Q" Ample`, Phone: "555 0114"})
	want := sha256.Sum256(append(card.Salt[:], `{"name":"N. \"Q\" Ample","phone":"555 0114"}`...))
	if got := commitment(t, card); got != want {
		t.Errorf("got %s, want %s", got, hex.EncodeToString(want[:]))
	}
	raw, err := json.Marshal(card)
	if err != nil {
		t.Fatal(err)
	}
	var back journal.Card
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	if back != card {
		t.Errorf("%s reads back as %+v", raw, back)
	}
}

func TestSaltIsFresh(t *testing.T) {
	r := journaltest.Rand("two cards")
	details := journal.Details{Name: "N. Ample"}
	a, err := journal.NewCard("c1", details, r)
	if err != nil {
		t.Fatal(err)
	}
	b, err := journal.NewCard("c1", details, r)
	if err != nil {
		t.Fatal(err)
	}
	if commitment(t, a) == commitment(t, b) {
		t.Error("equal details give equal commitments, so they can be guessed")
	}
	if _, err := journal.NewCard("c1", journal.Details{}, r); err == nil {
		t.Error("a card without a name was written")
	}
}
