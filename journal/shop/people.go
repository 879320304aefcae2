package shop

import (
	"context"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// CardReader gives a card as it lies here: journal.ErrCardErased or
// journal.ErrNoCard if there is nothing on it.
type CardReader interface {
	Card(ctx context.Context, id journal.CardID) (journal.Card, error)
}

// Commitments lists the entries that commit to a card as it is here.
func (v *View) Commitments(card *journal.Card) (list []*record.Line) {
	c := v.Case(journal.Of("card", string(card.Card)))
	if c == nil {
		return nil
	}
	for _, r := range c.Shop.Cards {
		for _, l := range r.Lines {
			if written, ok := l.Effect().(*journal.CardWriting); ok && r.ID == card.Card && card.Opens(written.Commitment) {
				list = append(list, l)
			}
		}
	}
	return list
}

// Naming returns the entry that names somebody who works here by a card; nil if none
// does. Only the hub's own log does: any tablet may write a card, and with its keys
// a name could be given to somebody else's work.
func (v *View) Naming(card *journal.Card) *record.Line {
	list := v.Commitments(card)
	i := slices.IndexFunc(list, func(l *record.Line) bool { return v.Shop.Founded != nil && l.Device == v.Shop.Founded.Device })
	if i < 0 {
		return nil
	}
	return list[i]
}

// NameOf is the full name of somebody who works here, as the card says that the
// register has of them; "" if there is none, it was erased, or it is not here.
func (v *View) NameOf(id journal.PersonID, cards CardReader) string {
	p := v.Shop.Person(id)
	if p == nil || p.Stated == nil || p.Stated.Card == "" {
		return ""
	}
	card, err := cards.Card(v.ctx, p.Stated.Card)
	if err != nil || v.Naming(&card) == nil {
		return ""
	}
	return card.Details.Name
}

// mostPeople bounds the cards that are looked at for somebody's name.
const mostPeople = 100

// People finds who works here, or did, by initials and by words of the full name on
// a card.
func (v *View) People(text string) (list []Match) {
	cards, err := v.shop.index.SearchCards(v.ctx, text, mostPeople)
	v.note(err)
	for _, p := range v.Shop.People {
		if p.Stated == nil {
			continue
		}
		m := Match{Home: journal.Of("person", string(p.ID))}
		switch {
		case words.Squash(p.Stated.Initials) == words.Squash(text):
			m.By, m.Whole = "initials", true
		case p.Stated.Card != "" && slices.Contains(cards, p.Stated.Card):
			m.By = "name"
		default:
			continue
		}
		list = append(list, m)
	}
	return list
}
