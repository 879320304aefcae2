package folder

import (
	"context"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// CardDraft is the entry that publishes a route card.
func CardDraft(pinned *card.Card, by journal.PersonID) journal.Draft {
	return journal.Draft{Subject: journal.Of("route", string(pinned.Name)), By: by,
		Data: &journal.RouteCard{Route: pinned.Name, Edition: pinned.Edition, Text: pinned.Text()}}
}

// MayAppend refuses what would count for nothing here, because only the hub may
// write it or correct it, and what hold points can refuse: a vehicle is not
// handed back while a safety hold of its route card is not met, as far as this
// machine knows. A correction can put a struck release back, and change what the job
// is measured by; neither is let through. The error is a *[route.Unreleasable]
// or a *[journal.Invalid].
func (f *Folder) MayAppend(ctx context.Context, d journal.Draft) error {
	if !f.Authority().MayWrite(d.Data.Kind(), f.Device) {
		return journal.Refuse(d.Data.Kind(), journal.NotAllowed, "this belongs to the shop’s register, which is kept at the hub; write it there")
	}
	return f.Folded.MayAppend(ctx, d)
}

// MayAppendAll is MayAppend of drafts that are written together. A vehicle is handed back
// by itself: each is asked about as if it came first, and what comes with it could break
// what it rests on.
func (f *Folder) MayAppendAll(ctx context.Context, drafts []journal.Draft) error {
	for _, d := range drafts {
		if len(drafts) > 1 && d.Data.Kind().Is(journal.IsSealed) {
			return journal.Refuse(d.Data.Kind(), journal.NotAllowed, "the vehicle is handed back by itself; write the others first")
		}
		if err := f.MayAppend(ctx, d); err != nil {
			return err
		}
	}
	return nil
}
