package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"

	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/journal"
	"fettlebook/journal/shop"
)

// benchPINs are the PINs that people have at a tablet.
type benchPINs struct {
	pins   *gate.PINs
	folded *shop.Shop
}

// pinsIn are the PINs that lie in a tablet's folder.
func pinsIn(t *terminal, dir string) *gate.PINs {
	return gate.NewPINs(filepath.Join(dir, "keys", "pins"), t.Now, t.Rand)
}

// Has implements [bench.PINs].
func (b *benchPINs) Has(who journal.PersonID) (bool, error) { return b.pins.Has(gate.Person(who)) }

// Change implements [bench.PINs].
func (b *benchPINs) Change(ctx context.Context, by, who journal.PersonID, confirm, pin string) error {
	if err := b.check(ctx, by, confirm); err != nil {
		return err
	}
	return b.pins.Set(ctx, gate.Person(who), pin)
}

// check says in a sentence why a PIN does not do.
func (b *benchPINs) check(ctx context.Context, by journal.PersonID, pin string) error {
	err := b.pins.Check(ctx, gate.Person(by), pin)
	initials := b.folded.View(ctx).Shop.Initials(by)
	switch {
	case errors.Is(err, gate.ErrNoPIN):
		return fmt.Errorf("%s has no PIN on this tablet, so nothing was written; tap the name above, then “PIN”, to see how one is set", initials)
	case errors.Is(err, gate.ErrWrongPIN) && pin == "":
		return fmt.Errorf("the PIN of %s is missing, so nothing was written; type it", initials)
	case errors.Is(err, gate.ErrWrongPIN):
		return fmt.Errorf("this is not the PIN of %s, so nothing was written; type it again", initials)
	}
	return err
}

// confirm is how whoever stamps at the tablet shows that it is them.
func (b *benchPINs) confirm() *write.Confirm {
	return &write.Confirm{By: journal.ByPIN, Typed: true, Check: func(r *http.Request, by journal.PersonID, typed string) error {
		return b.check(r.Context(), by, typed)
	}}
}
