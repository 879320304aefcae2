package route

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// Pinned returns the card that a job was opened with: of the published cards
// with its name and edition the one that was published first, since an edition
// does not change. A job that names no card has the usual one.
// [card.ErrNoCard] is returned, with no card, as long as the card or the job's
// opening is not here; [Check] takes that as it is.
func Pinned(shelf *card.Shelf, job *record.Job, shop *record.Shop) (*card.Card, error) {
	if job.Opened == nil {
		return nil, card.ErrNoCard
	}
	if job.Stated.Route == "" {
		text, err := card.Supplied(card.Usual)
		if err != nil {
			return nil, err
		}
		return shelf.Take(text)
	}
	for _, r := range shop.Routes {
		if r.ID != job.Stated.Route {
			continue
		}
		for _, l := range r.Lines {
			if c, ok := l.Effect().(*journal.RouteCard); ok && c.Edition == max(1, job.Stated.Edition) {
				return shelf.Take(c.Text)
			}
		}
	}
	return nil, card.ErrNoCard
}

// Read reads the newest edition of each card of a register ahead, so that who
// asks first does not wait for it. A card that cannot be read is told to those
// who ask for it ([Pinned]).
func Read(shelf *card.Shelf, shop *record.Shop) {
	for _, r := range shop.Routes {
		for _, l := range slices.Backward(r.Lines) {
			if c, ok := l.Effect().(*journal.RouteCard); ok {
				_, _ = shelf.Take(c.Text)
				break
			}
		}
	}
}
