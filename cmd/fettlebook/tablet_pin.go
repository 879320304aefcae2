package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

type tabletPIN struct {
	For  string `required:"" help:"Whose PIN it is: a short name such as jr." placeholder:"PERSON"`
	File string `name:"pin-file" help:"The file whose first line is the PIN; - is standard input." placeholder:"FILE"`
}

// Help says how the PIN is read, and what it is for.
func (*tabletPIN) Help() string {
	return "On a terminal it is asked for twice and not shown. Otherwise the first line of standard input is taken, or of the file named with --pin-file. The PIN holds on this tablet alone. Where the route card of a job says so, second checks, waivers and handing back are stamped with it. On a hub it is that of the hub’s own bench."
}

// Run sets a PIN. A tablet that runs asks for the new one at once.
func (c *tabletPIN) Run(ctx context.Context, t *terminal) error {
	at := *t
	id, err := folder.ReadIdentity(t.Data)
	if err == nil && id.Role == folder.Hub {
		at.Data = filepath.Join(t.Data, benchFolder)
		if id, err = folder.ReadIdentity(at.Data); errors.Is(err, folder.ErrNoFolder) {
			return &exit.Error{Status: exit.Refused, Sentence: "this hub keeps no bench of its own, so nobody has a PIN here; set it on the tablet at which it is typed", Err: err}
		}
	}
	if err != nil {
		return err
	}
	if id.Role != folder.Tablet {
		return notA(folder.Tablet, id)
	}
	var shop *record.Shop
	if err := onShelf(ctx, &at, func(s *shelf) error { shop = s.view.Shop; return nil }); err != nil {
		return err
	}
	who := here(journal.PersonID(c.For), shop)
	if who == "" {
		return notFound("nobody called %s works here, as far as this tablet has heard; add the person at the hub’s desk%s", oneLine(c.For), didYouMean(c.For, staffNames(shop)))
	}
	typed, err := typedTwice(t, "PIN", "pin-file", c.File)
	if err != nil {
		return err
	}
	if err := pinsIn(&at, at.Data).Set(ctx, gate.Person(who), typed); err != nil {
		return &exit.Error{Status: exit.Refused, Sentence: err.Error(), Err: err}
	}
	fmt.Fprintf(t.Out, "The PIN of %s on the tablet %q is set.\n", shop.Initials(who), cmp.Or(id.Name, string(id.Device)))
	return nil
}
