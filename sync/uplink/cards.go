package uplink

import (
	"context"
	"fmt"

	"fettlebook/sync/segment"
)

// markCards is the mark under which the cards' progress is kept. Losing it
// only makes cards travel again.
const markCards = "cards"

// progress says which cards have travelled: here up to revision up, at the
// hub up to revision down. It counts for one run of the hub, which may come
// back with an older copy of its cards.
type progress struct {
	began, up, down int64
}

// cards exchanges customer cards with the hub, both ways. The hub keeps what
// the newest entry of a card committed to; here the newest wins. So a card that
// travels twice does no harm.
func (u *Uplink) cards(ctx context.Context, w segment.Welcome, _ int64) (bool, error) {
	p, err := u.progress(ctx)
	if err != nil {
		return false, err
	}
	if p.began != w.Began {
		p = progress{began: w.Began}
	}
	for {
		next, more, err := u.swapCards(ctx, p)
		if err != nil {
			return false, fmt.Errorf("exchange customer cards: %w", err)
		}
		if next != p {
			if err := u.cfg.Cards.SetMark(ctx, markCards, fmt.Sprintf("%d %d %d", next.began, next.up, next.down)); err != nil {
				return false, err
			}
		}
		if p = next; !more {
			return true, nil
		}
	}
}

// progress reads the mark; one that cannot be read means to start over.
func (u *Uplink) progress(ctx context.Context) (progress, error) {
	text, err := u.cfg.Cards.Mark(ctx, markCards)
	if err != nil {
		return progress{}, err
	}
	var p progress
	if _, err := fmt.Sscanf(text, "%d %d %d", &p.began, &p.up, &p.down); err != nil {
		return progress{}, nil
	}
	return p, nil
}

// swapCards sends one message full of cards and takes one in. It reports
// whether there may be more on either side.
func (u *Uplink) swapCards(ctx context.Context, p progress) (progress, bool, error) {
	changed, err := u.cfg.Cards.CardsSince(ctx, p.up)
	if err != nil {
		return p, false, err
	}
	question := segment.CardsAsk{Since: p.down}
	question.Cards, p.up = segment.WireCards(changed, p.up)
	var reply segment.CardsReply
	if err := u.ask(ctx, segment.Cards, question, &reply); err != nil {
		return p, false, err
	}
	for _, c := range reply.Cards {
		state, err := c.State()
		if err != nil {
			return p, false, err
		}
		if err := u.cfg.Cards.SaveCard(ctx, state); err != nil {
			return p, false, err
		}
	}
	p.down = reply.Rev
	return p, len(changed) > 0 || reply.More, nil
}
