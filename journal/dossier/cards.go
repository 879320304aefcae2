package dossier

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// cardFile is a card that is put in.
type cardFile struct {
	evidence.Card
	raw []byte
}

// chooseCards chooses the cards that were asked for: that of the jobs'
// customer, and those of the people who wrote.
func (b *build) chooseCards() error {
	for _, j := range b.jobs {
		if j.Customer == nil {
			continue
		}
		if err := b.chooseCard(j.Customer.Card, b.asked.Customer, "the customer’s card", b.committed); err != nil {
			return err
		}
	}
	if !b.asked.Names {
		return nil
	}
	people := make(map[journal.PersonID]bool)
	for _, p := range b.picked {
		if p.line != nil {
			people[p.line.By] = true
		}
	}
	for _, p := range b.view.Shop.People {
		if people[p.ID] && p.Stated != nil && p.Stated.Card != "" {
			if err := b.chooseCard(p.Stated.Card, true, "the card of one who works here", b.view.Naming); err != nil {
				return err
			}
		}
	}
	return b.view.Err()
}

// chooseCard takes a card, if it is asked for, with the entry that commits to
// it. That it was erased is told in any case.
func (b *build) chooseCard(id journal.CardID, asked bool, what string, commits func(*journal.Card) *record.Line) error {
	home := journal.Of("card", string(id))
	c := b.view.Case(home)
	if c == nil || slices.ContainsFunc(b.cards, func(f cardFile) bool { return f.Card.Card == id }) {
		return b.view.Err()
	}
	card, err := cardOf(b.ctx, b.Cards, id)
	if err != nil {
		return err
	}
	for _, r := range c.Shop.Cards {
		for _, l := range r.Lines {
			if r.ID == id && l.Kind == journal.CardErased && l.Counts() {
				b.take(l, evidence.ForCard)
			}
		}
	}
	if !asked {
		return nil
	}
	if card == nil {
		b.leave(what, "it was erased, or is not at this machine")
		return nil
	}
	l := commits(card)
	if l == nil {
		b.leave(what, "no entry that counts commits to it")
		return nil
	}
	raw, err := json.Marshal(card, json.Deterministic(true), jsontext.WithIndent(" "))
	if err != nil {
		return fmt.Errorf("write card %s: %w", id, err)
	}
	b.take(l, evidence.ForCard)
	b.cards = append(b.cards, cardFile{evidence.Card{Card: id, At: evidence.At(l.Position())}, append(raw, '\n')})
	return nil
}

// committed is the first entry that commits to a card.
func (b *build) committed(card *journal.Card) *record.Line {
	if list := b.view.Commitments(card); len(list) > 0 {
		return list[0]
	}
	return nil
}

func (b *build) packCards(out *bag.Writer) error {
	for _, c := range b.cards {
		b.d.Cards = append(b.d.Cards, c.Card)
		if _, err := out.AddBytes(b.ctx, evidence.CardPath(c.Card.Card), c.raw); err != nil {
			return err
		}
	}
	return nil
}
