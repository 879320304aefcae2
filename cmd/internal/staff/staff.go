// Package staff is what the shop keeps of who works there beside the journal: the
// full name, on a card that can be erased. The journal has a short name and initials
// only; a dossier has the full name where somebody asks for it.
package staff

import (
	"context"
	"errors"
	"fmt"
	"io"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// longest is how many characters a full name may have.
const longest = 120

// Refused says why somebody gets no card.
type Refused struct{ Sentence string }

func (e *Refused) Error() string { return e.Sentence }

// Naming is the full name of somebody who works here.
type Naming struct {
	Person journal.PersonID
	Name   string
	By     journal.PersonID // who writes it down
}

// Write writes the name on the card of the person, and has the register name the
// card. One that was erased stays so: then there is a new one. Cut off at any point,
// this leaves at worst a person who is known by initials.
func (n Naming) Write(ctx context.Context, to newjob.Book, of *record.Shop, cards shop.CardReader, rand io.Reader) (journal.CardID, error) {
	p := of.Person(n.Person)
	switch {
	case p == nil || p.Stated == nil:
		return "", &Refused{fmt.Sprintf("%s is not on the register; add the person first", n.Person)}
	case n.Name == "":
		return "", &Refused{"the name is missing"}
	case len([]rune(n.Name)) > longest:
		return "", &Refused{fmt.Sprintf("the name has %d characters; at most %d are allowed", len([]rune(n.Name)), longest)}
	}
	id := p.Stated.Card
	if id != "" {
		switch _, err := cards.Card(ctx, id); {
		case errors.Is(err, journal.ErrCardErased):
			id = ""
		case err != nil && !errors.Is(err, journal.ErrNoCard):
			return "", err
		}
	}
	fresh := id == ""
	if fresh && p.Retired { // to be named anew would take the person on again
		return "", &Refused{fmt.Sprintf("%s no longer works here and has no card; a card is written while somebody works here", p.Stated.Initials)}
	}
	if fresh {
		var err error
		if id, err = journal.NewCardID(rand); err != nil {
			return "", err
		}
	}
	card, err := journal.NewCard(id, journal.Details{Name: n.Name}, rand)
	if err != nil {
		return "", err
	}
	if err := newjob.WriteCard(ctx, to, card, n.By); err != nil || !fresh {
		return id, err
	}
	again := &journal.Person{Person: n.Person, Initials: p.Stated.Initials, Duties: p.Stated.Duties, Card: id}
	_, err = to.Append(ctx, journal.Draft{Subject: journal.Of("person", string(n.Person)), By: n.By, Data: again})
	return id, err
}
