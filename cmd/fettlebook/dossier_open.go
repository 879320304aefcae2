package main

import (
	"context"
	"io"

	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/exchange"
)

// openForms writes what a dossier tells in the open formats, people by their
// initials. What somebody said on a run that others share is not told a second
// time: its entries lie in the dossier, as far as they are not withheld.
type openForms struct{ log exchange.Log }

// Write implements [dossier.Papers].
func (o openForms) Write(ctx context.Context, of *dossier.Told, add dossier.Add) error {
	source := &exchange.Source{Shop: of.View.Shop.ID, Log: o.log}
	for _, id := range of.About.Jobs {
		if st := of.View.Standing(id); st != nil {
			source.Jobs = append(source.Jobs, st)
		}
	}
	for _, f := range exchange.Forms() {
		err := add(ctx, evidence.OpenFolder+f.File(), func(w io.Writer) error {
			_, err := exchange.Write(ctx, w, f, source)
			return err
		})
		if err != nil {
			return err
		}
	}
	return of.View.Err()
}
