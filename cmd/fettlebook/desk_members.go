package main

import (
	"context"
	"errors"
	"net/http"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/pages/write"
	"fettlebook/cmd/internal/staff"
	"fettlebook/journal"
	"fettlebook/journal/shop"
)

// membersHouse is where the desk's pages write: what whoever signed in by name is not
// authorised for is refused, on whichever page it was asked for.
type membersHouse struct {
	hubStore
	folded *shop.Shop
}

// Append implements [write.Store].
func (h membersHouse) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	if err := h.may(ctx, d); err != nil {
		return nil, err
	}
	return h.hubStore.Append(ctx, d)
}

// AppendAll implements [write.Store].
func (h membersHouse) AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error) {
	for _, d := range drafts {
		if err := h.may(ctx, d); err != nil {
			return nil, err
		}
	}
	return h.hubStore.AppendAll(ctx, drafts)
}

// may refuses what a member is not authorised for, and to write in another's name. A
// correction takes the duty that is needed for what it corrects.
func (h membersHouse) may(ctx context.Context, d journal.Draft) error {
	by := memberOf(ctx)
	if by == "" {
		return nil
	}
	if d.By != by {
		return &exit.Error{Status: exit.Refused, Sentence: "whoever signed in by name writes in no other; sign out, and in again by the other name"}
	}
	kinds := []journal.Kind{d.Data.Kind()}
	view := h.folded.View(ctx)
	if c, ok := d.Data.(*journal.Correction); ok {
		for _, l := range view.Line(c.Of) {
			kinds = append(kinds, l.Kind)
		}
	}
	for _, kind := range kinds {
		if duty := staff.Keeps(kind); !staff.May(view.Shop, by, duty) {
			return staff.Barred(view.Shop, by, duty)
		}
	}
	return nil
}

// byPassphrase is how whoever stamps at the desk shows that it is them: by having signed
// in by name.
func byPassphrase() *write.Confirm {
	return &write.Confirm{By: journal.ByPassphrase, Check: func(r *http.Request, by journal.PersonID, _ string) error {
		if by != "" && memberOf(r.Context()) == by {
			return nil
		}
		return errors.New("at the desk only somebody who signed in by name can confirm this, so nothing was stamped; give people passphrases of their own under “People and tablets”, or stamp it at a bench with a PIN")
	}}
}

// barred says why whoever signed in by name may not write a kind.
func (h membersHouse) barred(r *http.Request, kind journal.Kind) error {
	by, duty := memberOf(r.Context()), staff.Keeps(kind)
	if view := h.folded.View(r.Context()); by != "" && !staff.May(view.Shop, by, duty) {
		return staff.Barred(view.Shop, by, duty)
	}
	return nil
}
