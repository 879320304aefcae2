package segment

import (
	"fmt"

	"fettlebook/journal"
)

// WireCard puts a card on the wire.
func WireCard(s journal.CardState) Card {
	c := Card{Card: s.Card.Card, Erased: s.Erased, Changed: s.Changed[:]}
	if !s.Erased {
		c.Details, c.Salt = s.Card.Details, s.Card.Salt[:]
	}
	return c
}

// maxCards caps the cards of one message, in bytes of text, far below what a
// message may hold.
const maxCards = 256 << 10

// WireCards puts cards on the wire, in their order, as many as one message
// holds and at least one. Rev is the revision of the last of them, or since.
func WireCards(list []journal.CardState, since int64) (cards []Card, rev int64) {
	total := 0
	for _, s := range list {
		c := WireCard(s)
		total += c.size()
		if total > maxCards && len(cards) > 0 {
			break
		}
		cards, since = append(cards, c), s.Rev
	}
	return cards, since
}

// cardFrame is what a card takes beside its details.
const cardFrame = 128

// size is what a card takes in a message, about.
func (c *Card) size() int {
	return len(c.Details.Name) + len(c.Details.Phone) + len(c.Details.Mail) + len(c.Details.Address) + cardFrame
}

// CardsSize is what cards take in a message, about.
func CardsSize(cards []Card) (total int) {
	for i := range cards {
		total += cards[i].size()
	}
	return total
}

// State takes a card off the wire.
func (c *Card) State() (journal.CardState, error) {
	s := journal.CardState{Card: journal.Card{Card: c.Card, Details: c.Details}, Erased: c.Erased}
	if len(c.Changed) != len(s.Changed) || !c.Erased && len(c.Salt) != len(s.Card.Salt) {
		return s, fmt.Errorf("%w: a customer card is malformed", ErrWire)
	}
	s.Changed = journal.EntryID(c.Changed)
	s.Card.Written = s.Changed
	if !c.Erased {
		s.Card.Salt = journal.Salt(c.Salt)
	}
	return s, nil
}
