package desk

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// customer is a customer's card as it may be read at the desk.
type customer struct {
	journal.Details
	Card   journal.CardID
	Says   string // why there are no details
	Forget string // page that erases the card
}

func (d *Desk) customer(ctx context.Context, id journal.CardID) customer {
	c := customer{Card: id}
	card, err := d.Cards.Card(ctx, id)
	switch {
	case err == nil:
		c.Details, c.Forget = card.Details, forgetPath(id)
	case errors.Is(err, journal.ErrCardErased):
		c.Says = "This card was erased; nobody can tell any more who the customer was. The record is complete without it."
	default:
		d.Logger.WarnContext(ctx, "read customer card", "card", id, "error", err)
		c.Says = "The details of this card are not on this machine; they come with the tablet that wrote them."
	}
	return c
}

func (p *vehiclePage) addCustomer(c customer) {
	for _, other := range p.Customers {
		if other.Card == c.Card {
			return
		}
	}
	p.Customers = append(p.Customers, c)
}

// casting is a casting of the jobs, with what it was elsewhere.
type casting struct {
	Name  string
	Path  string // of its life
	Here  string // what it is here
	Other []readonly.Link
	Notes []string
}

func castings(jobs []*record.Job) []casting {
	var list []casting
	seen := make(map[journal.Subject]bool) // each job has its own fold, so castings are told apart by their parts
	mine := make(map[journal.JobID]bool)
	for _, j := range jobs {
		mine[j.ID] = true
	}
	for _, j := range jobs {
		for _, c := range j.Corners {
			for _, part := range c.Parts {
				if k := part.Casting; k != nil && !seen[part.Subject] {
					for _, p := range k.Parts {
						seen[p.Subject] = true
					}
					list = append(list, newCasting(k, mine))
				}
			}
		}
	}
	return list
}

func newCasting(k *record.Casting, mine map[journal.JobID]bool) casting {
	v := casting{Name: k.Name(), Notes: k.Notes, Path: readonly.CastingPath(cmp.Or(k.Number, string(k.Parts[len(k.Parts)-1].Subject)))}
	var here []string
	for _, p := range k.Parts {
		j := p.Corner.Job
		says := fmt.Sprintf("%s %s", p.Corner.Corner, p.ID)
		if mine[j.ID] {
			here = append(here, fmt.Sprintf("%s in job %s", says, j.ID))
			continue
		}
		when, since := "here before", ""
		if len(here) > 0 {
			when = "here again"
		}
		if j.Opened != nil {
			since = ", " + j.Units().Writing.Day(time.Time(j.Opened.Clocks.Device))
		}
		v.Other = append(v.Other, readonly.Link{Say: fmt.Sprintf("%s: %s of %s, job %s%s", when, says, j.Name(), j.ID, since), Path: readonly.JobPath(j.ID)})
	}
	v.Here = strings.Join(here, ", ")
	return v
}
