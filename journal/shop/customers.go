package shop

import (
	"context"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

// Cards lists customer cards that changed after a revision, oldest first, as
// many as it likes at a time.
type Cards interface {
	CardsSince(ctx context.Context, rev int64) ([]journal.CardState, error)
}

// keepCards has the index know the words of customer cards as they are now:
// what was erased leaves it.
func (s *Shop) keepCards(ctx context.Context) error {
	cards, ok := s.log.(Cards)
	if !ok {
		return nil
	}
	for {
		rev, err := s.index.CardMark(ctx)
		if err != nil {
			return err
		}
		list, err := cards.CardsSince(ctx, rev)
		if err != nil || len(list) == 0 {
			return err
		}
		var words []index.CardWords
		for _, c := range list {
			d := c.Card.Details
			words = append(words, index.CardWords{Card: c.Card.Card, Erased: c.Erased, Rev: c.Rev,
				Words: strings.Join([]string{d.Name, d.Phone, d.Mail, d.Address}, "\n"), Phone: d.Phone})
		}
		if err := s.index.KeepCards(ctx, words...); err != nil {
			return err
		}
	}
}

// Customers finds the jobs of customers whose cards hold all words of a text,
// each with its card.
func (v *View) Customers(text string, most int) []Match {
	cards, err := v.shop.index.SearchCards(v.ctx, text, most)
	v.note(err)
	var list []Match
	for _, id := range cards {
		found, err := v.shop.index.Find(v.ctx, string(id), most)
		v.note(err)
		for _, m := range found {
			for _, one := range v.matches(m) {
				if one.Job != nil && one.Job.Customer == id {
					one.By = "customer"
					list = append(list, one)
				}
			}
		}
	}
	return list[:min(most, len(list))]
}
