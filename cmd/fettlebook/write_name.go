package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/staff"
	"fettlebook/journal"
)

type writeName struct {
	Person string   `arg:"" help:"Who: the short name, such as io."`
	Name   []string `arg:"" optional:"" help:"The full name; left out, it is shown."`
	By     string   `env:"FETTLEBOOK_BY" help:"Who writes it down: a short name such as io." placeholder:"PERSON"`
	JSON   bool     `name:"json" help:"Print JSON."`
}

// Help says where the name is and where it is not.
func (*writeName) Help() string {
	return "The journal has short names and initials only. The full name lies on a card beside it, and is in a dossier or an export if somebody asks for names. The card can be erased: `fettlebook add card.erased` with its ID and a reason."
}

// namedPerson is a person with the full name, as it is printed.
type namedPerson struct {
	Person   journal.PersonID `json:"person"`
	Initials string           `json:"initials"`
	Name     string           `json:"name,omitzero"`
	Card     journal.CardID   `json:"card,omitzero"`
}

// Run writes the name down, or shows it.
func (c *writeName) Run(ctx context.Context, t *terminal) error {
	var who journal.PersonID
	if err := who.UnmarshalText([]byte(c.Person)); err != nil {
		return &exit.Error{Status: exit.Usage, Sentence: err.Error(), Err: err}
	}
	if len(c.Name) == 0 {
		s, err := openShelf(ctx, t)
		if err != nil {
			return err
		}
		return errors.Join(c.show(t, s, who), s.Close())
	}
	if c.By == "" {
		return nobody()
	}
	by, err := person(c.By)
	if err != nil {
		return err
	}
	k, err := openEntryWriter(ctx, t)
	if err != nil {
		return err
	}
	return k.close(ctx, c.write(ctx, k, staff.Naming{Person: who, Name: strings.Join(strings.Fields(strings.Join(c.Name, " ")), " "), By: by}))
}

func (c *writeName) write(ctx context.Context, k *entryWriter, n staff.Naming) error {
	if k.shelf.Role != folder.Hub {
		return notA(folder.Hub, k.shelf.Identity)
	}
	shop := k.shelf.view.Shop
	card, err := n.Write(ctx, k.w, shop, k.log, k.t.Rand)
	var refused *staff.Refused
	if errors.As(err, &refused) {
		return &exit.Error{Status: exit.Refused, Sentence: refused.Sentence, Err: err}
	}
	if err != nil {
		return err
	}
	return c.print(k.t, namedPerson{n.Person, shop.Initials(n.Person), n.Name, card})
}

func (c *writeName) show(t *terminal, s *shelf, who journal.PersonID) error {
	p := s.view.Shop.Person(who)
	if p == nil || p.Stated == nil {
		return notFound("%s is not on the register", who)
	}
	return c.print(t, namedPerson{who, p.Stated.Initials, s.view.NameOf(who, s.log), p.Stated.Card})
}

func (c *writeName) print(t *terminal, n namedPerson) error {
	if c.JSON {
		return printReport(t.Out, "name", n)
	}
	if n.Name == "" {
		fmt.Fprintf(t.Out, "%s (%s) is known by these initials only; no card with a name is here.\n", n.Initials, n.Person)
		return nil
	}
	fmt.Fprintf(t.Out, "%s (%s): %s, on card %s beside the journal\n", n.Initials, n.Person, n.Name, n.Card)
	return nil
}
