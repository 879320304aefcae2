// Package live gives pages the one folded shop: how it is looked at while a
// request is answered, and server-sent events when it has changed.
package live

import (
	"context"

	"fettlebook/journal"
	"fettlebook/journal/shop"
)

// Listed is how many open jobs a page lists with what is to be done on them.
const Listed = 40

type (
	// Snapshot is the shop as one request looks at it.
	Snapshot = shop.View
	// Standing is how a job stands on its route card.
	Standing = shop.Standing
	// Promise is a promise to a customer, with its job.
	Promise = shop.Promise
)

// Live is the folded shop as pages see it.
type Live struct {
	*shop.Shop
	// Beside, if given before pages are served, is closed when what a page's lamp
	// says has changed.
	Beside func() <-chan struct{}
}

// New returns the shop for pages.
func New(s *shop.Shop) *Live { return &Live{Shop: s} }

// Await waits until the shop holds the entry.
func (l *Live) Await(ctx context.Context, id journal.EntryID) (*Snapshot, error) {
	if err := l.Shop.Await(ctx, id); err != nil {
		return l.renew(context.WithoutCancel(ctx)), err
	}
	return l.renew(ctx), nil
}
