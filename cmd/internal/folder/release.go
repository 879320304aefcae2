package folder

import (
	"context"
	"errors"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// CardDraft is the entry that publishes a route card.
func CardDraft(card *route.Card, by journal.PersonID) journal.Draft {
	return journal.Draft{Subject: journal.Of("route", string(card.Name)), By: by,
		Data: &journal.RouteCard{Route: card.Name, Edition: card.Edition, Text: card.Text()}}
}

// MayAppend refuses the one entry that hold points can refuse: a vehicle is
// not handed back while a safety hold of its route card is not met, as far as
// this machine knows. The error is a *[route.Unreleasable].
func (f *Folder) MayAppend(ctx context.Context, d journal.Draft) error {
	if _, ok := d.Data.(*journal.Release); !ok {
		return nil
	}
	shop, err := record.Fold(f.Log.All(ctx))
	if err != nil {
		return err
	}
	job := shop.Job(d.Subject.Job())
	if job == nil {
		return nil // the log keeps what is said of a job that is not here yet
	}
	card, err := new(route.Shelf).Pinned(job, shop)
	if err != nil && !errors.Is(err, route.ErrNoCard) {
		return err
	}
	return route.MayRelease(card, job, shop)
}
