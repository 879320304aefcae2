package folder

import (
	"context"
	"errors"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// CardDraft is the entry that publishes a route card.
func CardDraft(pinned *card.Card, by journal.PersonID) journal.Draft {
	return journal.Draft{Subject: journal.Of("route", string(pinned.Name)), By: by,
		Data: &journal.RouteCard{Route: pinned.Name, Edition: pinned.Edition, Text: pinned.Text()}}
}

// MayAppend refuses what hold points can refuse: a vehicle is not handed back
// while a safety hold of its route card is not met, as far as this machine
// knows. A correction can put a struck release back, and change what the job
// is measured by; neither is let through. The error is a *[route.Unreleasable]
// or a *[journal.Invalid].
func (f *Folder) MayAppend(ctx context.Context, d journal.Draft) error {
	_, releases := d.Data.(*journal.Release)
	_, corrects := d.Data.(*journal.Correction)
	if !releases && !corrects {
		return nil
	}
	book := record.NewBook(f.Authority())
	for e, err := range f.Log.All(ctx) {
		if err != nil {
			return err
		}
		book.Add(e)
	}
	shop := book.Shop()
	if releases {
		if job := shop.Job(d.Subject.Job()); job != nil {
			return mayRelease(job, shop)
		}
		return nil // the log keeps what is said of a job that is not here yet
	}
	e, err := f.Log.Suppose(ctx, d)
	if err != nil {
		return err
	}
	return mayCorrect(shop, book.Suppose(e))
}

// mayCorrect compares the shop before a correction with the one after it. A
// correction acts on the entry that it names, whatever it is about itself.
func mayCorrect(was, is *record.Shop) error {
	for _, job := range is.Jobs {
		before := was.Job(job.ID)
		if before != nil && before.Stated != nil && job.Stated != nil &&
			(before.Stated.Route != job.Stated.Route || before.Stated.Edition != job.Stated.Edition) {
			return journal.Refuse(journal.EntryCorrected, journal.NotAllowed,
				"a job stays with the route card that it was opened with; if that was the wrong one, open another job for the vehicle")
		}
		if job.Released == nil || before != nil && before.Released != nil {
			continue
		}
		if err := mayRelease(job, is); err != nil {
			return err
		}
	}
	return nil
}

func mayRelease(job *record.Job, shop *record.Shop) error {
	pinned, err := route.Pinned(new(card.Shelf), job, shop)
	if err != nil && !errors.Is(err, card.ErrNoCard) {
		return err
	}
	return route.MayRelease(pinned, job, shop)
}
