package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// checkCards holds customer cards against the commitments; it is not asked if
// there are none.
func (r *reading) checkCards() (Answer, error) {
	if len(r.d.Cards) == 0 {
		return Answer{}, nil
	}
	a := Answer{Question: Carded}
	for _, c := range r.d.Cards {
		ok, err := r.opens(c)
		if err != nil {
			return a, err
		}
		if !ok {
			a.add(Finding{CardWrong, No, fmt.Sprintf("The customer card %s is not the one that the entry %s commits to.", c.Card, c.At), []At{c.At}, paths(CardPath(c.Card))})
		}
	}
	a.settle(fmt.Sprintf("Yes: %s committed to.", words.Either(len(r.d.Cards), "card is the one that was", "cards are the ones that were")),
		fmt.Sprintf("No: %s of %d.", words.Either(len(a.Findings), "card is not the one", "cards are not the ones"), len(r.d.Cards)), "")
	return a, nil
}

// opens reports whether a card that is here opens the commitment of its entry.
func (r *reading) opens(c Card) (bool, error) {
	e := r.entries[c.At]
	if e == nil || e.in == nil || e.kind() != journal.CardWritten {
		return false, nil
	}
	p, err := r.payload(e)
	if err != nil {
		return false, err
	}
	written, ok := p.(*journal.CardWriting)
	raw, err := r.load(CardPath(c.Card), MaxProofBytes)
	if err != nil || raw == nil || !ok {
		return false, err
	}
	var card journal.Card
	if json.Unmarshal(raw, &card, json.RejectUnknownMembers(true)) != nil {
		return false, nil
	}
	return card.Card == c.Card && e.e.Subject == journal.Of("card", string(c.Card)) && card.Opens(written.Commitment), nil
}
