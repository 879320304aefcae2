package demo

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
)

// sayHolds says which hold points of the story's job are broken, as one
// machine knows it from its own disk.
func (d *Day) sayHolds(ctx context.Context, s step) error {
	m, err := d.machine(s.On)
	if err != nil {
		return err
	}
	shelf, err := openShelf(ctx, m.dir)
	if err != nil {
		return err
	}
	shop, err := record.Fold(shelf.Authority(), shelf.All(ctx))
	if err := errors.Join(err, shelf.Close()); err != nil {
		return err
	}
	job := shop.Job(journal.JobID(d.names["job"]))
	if job == nil {
		return fmt.Errorf("%s does not know the job of the story", m.name)
	}
	pinned, err := route.Pinned(new(card.Shelf), job, shop)
	if err != nil {
		return err
	}
	v := route.Check(pinned, job, shop)
	for _, one := range v.List {
		if one.State == route.Broken {
			d.say("  hold broken: %s (%s): %s", one.Title, one.Subject.Place(), one.Why)
		}
	}
	d.say("  holds at %s: %s; %s", m.name, v.Tally(), may(v))
	return nil
}

func may(v route.Verdicts) string {
	if v.ReleaseAllowed() {
		return "no safety hold forbids handing the vehicle back"
	}
	return fmt.Sprintf("%d safety holds forbid handing the vehicle back", len(v.Unmet()))
}
