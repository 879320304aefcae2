package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

type hubPassphrase struct {
	For  string `help:"Whose passphrase it is: a short name such as jr. Left out, it is the desk’s, and once people have passphrases of their own, the owner’s." placeholder:"PERSON"`
	File string `name:"passphrase-file" help:"The file whose first line is the passphrase; - is standard input." placeholder:"FILE"`
}

// Help says how the passphrase is read.
func (*hubPassphrase) Help() string {
	return "On a terminal it is asked for twice and not shown. Otherwise the first line of standard input is taken, or of the file named with --passphrase-file. Who is signed in stays signed in."
}

// passphrase is what opens a hub's desk.
func passphrase(t *terminal, dir string) *gate.Passphrase {
	return gate.NewPassphrase(filepath.Join(dir, "keys", "desk"), t.Now, t.Rand)
}

// signers are the passphrases of the people at a hub's desk.
func signers(t *terminal, dir string) *gate.People {
	return gate.NewPeople(passphrase(t, dir), filepath.Join(dir, "keys", "people"))
}

// Run sets the passphrase. A hub that runs asks for the new one at once.
func (c *hubPassphrase) Run(ctx context.Context, t *terminal) error {
	if _, err := identityOf(t.Data, folder.Hub); err != nil {
		return err
	}
	typed, err := typedTwice(t, "Passphrase", "passphrase-file", c.File)
	if err != nil {
		return err
	}
	of, err := c.set(ctx, t, typed)
	var known *exit.Error
	if err != nil && !errors.As(err, &known) {
		err = &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(t.Out, "The passphrase%s is set.\n", words.Fill(" of %s", of))
	return nil
}

// set sets the passphrase, and says whose it is; "" is the desk's.
func (c *hubPassphrase) set(ctx context.Context, t *terminal, typed string) (initials string, err error) {
	people := signers(t, t.Data)
	own, err := people.Own()
	if err != nil {
		return "", err
	}
	if c.For == "" && len(own) == 0 {
		return "", passphrase(t, t.Data).Set(ctx, typed)
	}
	var shop *record.Shop
	if err := onShelf(ctx, t, func(s *shelf) error { shop = s.view.Shop; return nil }); err != nil {
		return "", err
	}
	owners := shop.Owners()
	if len(owners) == 0 {
		return "", errors.New("nobody works in the shop by its register, so there is nobody to sign in")
	}
	who := owners[0].ID
	if c.For != "" {
		who = here(journal.PersonID(c.For), shop)
	}
	if who == "" {
		return "", notFound("nobody called %s works here; add the person first%s", oneLine(c.For), didYouMean(c.For, staffNames(shop)))
	}
	return shop.Initials(who), people.Give(ctx, gate.Person(who), gate.Person(owners[0].ID), typed)
}

// staffNames are the short names of those who work here.
func staffNames(shop *record.Shop) (list []string) {
	for _, p := range shop.Staff() {
		list = append(list, string(p.ID))
	}
	return list
}
