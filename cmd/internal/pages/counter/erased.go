package counter

import (
	"context"
	"errors"
	"maps"
	"net/url"
	"slices"

	"fettlebook/cmd/internal/newjob"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/shop"
)

// whose are the cards of the customers of whom something is typed, as far as cards that
// are here tell it: the card that was taken over, and those with the name, the telephone
// number or the mail address.
func (c *Counter) whose(ctx context.Context, s *live.Snapshot, w *newjob.Words) (list []journal.CardID) {
	add := func(id journal.CardID) {
		if id != "" && !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	add(w.Known.Card)
	is := w.Customer
	named := func(d journal.Details) bool {
		return len([]rune(is.Name)) >= fewestLetters && shop.HasName(d.Name, is.Name)
	}
	for _, typed := range []string{is.Name, is.Phone, is.Mail} {
		if typed == "" {
			continue
		}
		for _, m := range s.Customers(typed, mostKnown) {
			if m.Job == nil || m.Job.Customer == "" {
				continue
			}
			card, err := c.Cards.Card(ctx, m.Job.Customer)
			if err == nil && (named(card.Details) || is.Phone != "" && card.Details.Phone == is.Phone || is.Mail != "" && card.Details.Mail == is.Mail) {
				add(card.Card)
			}
		}
	}
	return list
}

// fewestLetters are how many letters of a name tell whose it may be.
const fewestLetters = 3

// kept is what a form holds, without the customer if that is one whose card was erased: a
// page that was open before does not bring the details back.
func (c *Counter) kept(ctx context.Context, form url.Values) url.Values {
	var id journal.CardID
	if id.UnmarshalText([]byte(form.Get("card"))) != nil {
		return form
	}
	if _, err := c.Cards.Card(ctx, id); !errors.Is(err, journal.ErrCardErased) {
		return form
	}
	form = maps.Clone(form)
	for _, name := range []string{"card", "customer", "phone", "mail", "address"} {
		form.Del(name)
	}
	return form
}

// Forget throws away what was typed of customers whose cards were erased, whenever that
// is, until ctx ends: what is not stamped yet goes with the card.
func (c *Counter) Forget(ctx context.Context) {
	for {
		_, changed := c.Live.Now()
		gone, err := c.Drafts.Forget(func(id journal.CardID) bool {
			_, err := c.Cards.Card(ctx, id)
			return errors.Is(err, journal.ErrCardErased)
		})
		if err != nil {
			c.Logger.ErrorContext(ctx, "forget what was typed of a customer", "error", err)
		}
		if gone > 0 {
			c.Logger.InfoContext(ctx, "what was typed of a customer whose card was erased is thrown away", "drafts", gone)
		}
		select {
		case <-ctx.Done():
			return
		case <-changed:
		}
	}
}
