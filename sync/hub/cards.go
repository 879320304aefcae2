package hub

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/segment"
)

// cardDesk takes cards in. A card that arrives is held against the newest card.written
// entry here that speaks of it, and kept only if it is what that entry
// committed to. So a device that lies cannot change a card without signing an
// entry that says so.
type cardDesk struct {
	mu      sync.Mutex
	next    map[journal.DeviceID]int64 // index of the next entry of each log to read
	newest  map[journal.CardID]commitment
	waiting map[journal.DeviceID]map[journal.CardID]journal.CardState // for an entry that is not here yet
}

// commitment is what a card.written entry says.
type commitment struct {
	by journal.EntryID
	to journal.Commitment
}

// waitingBytes is how many bytes of one device's cards may wait for their entries, cardBytes
// how many a card may have. They lie in memory: a hub that starts anew is sent all cards
// again.
const (
	waitingBytes = 4 << 20
	cardBytes    = 8 << 10
)

func newCardDesk() cardDesk {
	return cardDesk{next: map[journal.DeviceID]int64{}, newest: map[journal.CardID]commitment{},
		waiting: map[journal.DeviceID]map[journal.CardID]journal.CardState{}}
}

// cards takes a device's changed cards and gives those changed here.
func (h *Hub) cards(ctx context.Context, e *ear, q segment.CardsAsk) (any, error) {
	if err := h.hold(e.device, q.Cards); err != nil {
		return nil, err
	}
	if err := h.takeWaiting(ctx); err != nil {
		return nil, err
	}
	changed, err := h.cfg.Cards.CardsSince(ctx, q.Since)
	if err != nil {
		return nil, err
	}
	r := segment.CardsReply{Rev: q.Since}
	r.Cards, r.Rev = segment.WireCards(changed, q.Since)
	r.More = len(changed) > 0
	h.gave(ctx, e, "cards", q.Since, r.Rev, segment.CardsSize(r.Cards))
	return r, nil
}

var errCardsWait = errors.New("the hub first needs the entries that wrote these customer cards; they are offered again later")

// hold has a device's cards wait for their entries, the newer of two in the
// place of the older. That a card was erased the hub reads from the entry
// alone: the log does it.
func (h *Hub) hold(device journal.DeviceID, cards []segment.Card) error {
	h.desk.mu.Lock()
	defer h.desk.mu.Unlock()
	held, size := h.desk.waiting[device], 0
	for _, s := range held {
		size += cardSize(s)
	}
	if held == nil {
		held = map[journal.CardID]journal.CardState{}
		h.desk.waiting[device] = held
	}
	for _, c := range cards {
		state, err := c.State()
		if err != nil {
			return err
		}
		if state.Erased {
			continue
		}
		n := cardSize(state)
		if n > cardBytes {
			return fmt.Errorf("%w: a customer card has %d bytes, and %d are allowed", segment.ErrWire, n, cardBytes)
		}
		before, ok := held[c.Card]
		if ok && bytes.Compare(before.Changed[:], state.Changed[:]) > 0 {
			continue
		}
		if ok {
			size -= cardSize(before)
		}
		if size += n; size > waitingBytes {
			return errCardsWait
		}
		held[c.Card] = state
	}
	return nil
}

// cardSize is what a card takes in memory, about.
func cardSize(s journal.CardState) int {
	d := s.Card.Details
	return len(s.Card.Card) + len(d.Name) + len(d.Phone) + len(d.Mail) + len(d.Address) + 256
}

// takeWaiting keeps the waiting cards whose entries are here by now, of all
// devices. It is called with each question about cards, which every device
// asks after news.
func (h *Hub) takeWaiting(ctx context.Context) error {
	h.desk.mu.Lock()
	defer h.desk.mu.Unlock()
	waits := 0
	for _, held := range h.desk.waiting {
		waits += len(held)
	}
	if waits == 0 {
		return nil
	}
	if err := h.readCommitments(ctx); err != nil {
		return err
	}
	kept := false
	for device, held := range h.desk.waiting {
		for id, state := range held {
			newest, ok := h.desk.newest[id]
			switch {
			case ok && state.Card.Opens(newest.to):
				// Saved under the entry that holds, whatever the device says.
				state.Changed, state.Card.Written = newest.by, newest.by
				if err := h.cfg.Cards.SaveCard(ctx, state); err != nil {
					return err
				}
				kept = true
			case !ok || bytes.Compare(state.Changed[:], newest.by[:]) > 0:
				continue // its entry may be on the way
			case state.Changed == newest.by:
				h.cfg.Logger.WarnContext(ctx, "a customer card is not what its entry committed to", "device", device, "card", id)
			}
			delete(held, id)
		}
	}
	if kept {
		h.news()
	}
	return nil
}

// readCommitments reads every log on from where it stood. desk.mu is held.
func (h *Hub) readCommitments(ctx context.Context) error {
	heads, err := h.cfg.Log.Heads(ctx)
	if err != nil {
		return err
	}
	for _, head := range heads {
		for logged, err := range h.cfg.Log.Entries(ctx, head.Device, h.desk.next[head.Device]) {
			if err != nil {
				return fmt.Errorf("read what cards were committed to: %w", err)
			}
			if err := h.commits(ctx, logged); err != nil {
				return err
			}
			h.desk.next[head.Device] = logged.Index + 1
		}
	}
	return nil
}

// commits notes what an entry commits to, if it counts, also one that was taken
// over. Entries are not decoded if they cannot be of that kind: a shop has many
// and few of them. desk.mu is held.
func (h *Hub) commits(ctx context.Context, l journal.Logged) error {
	if !bytes.Contains(l.Bytes, []byte(journal.CardWritten)) {
		return nil
	}
	e, err := journal.Decode(l.Bytes)
	if err != nil || h.cfg.authority().Voids(e, l.Device, l.Falls) != "" {
		return nil // nothing that this version could hold a card against
	}
	if t, quoted := e.Quotes(); t != nil {
		key, err := h.cfg.History.KeyAt(ctx, t.Device, journal.MaxLog)
		if err != nil && !errors.Is(err, journal.ErrNoLog) {
			return err
		}
		if proof.CheckQuote(t, h.cfg.Shop, []string{key}) != nil {
			return nil
		}
		e = quoted
	}
	h.desk.apply(e)
	return nil
}

// apply notes what an entry commits to that counts.
func (d *cardDesk) apply(e *journal.Entry) {
	payload, err := e.Payload()
	if err != nil {
		return
	}
	p, ok := payload.(*journal.CardWriting)
	if !ok {
		return
	}
	if newest := d.newest[p.Card]; bytes.Compare(e.ID[:], newest.by[:]) > 0 {
		d.newest[p.Card] = commitment{by: e.ID, to: p.Commitment}
	}
}
