package audit

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/words"

	"github.com/go-json-experiment/json"
)

// card is what entries say of a customer card.
type card struct {
	written []writing
	erased  []Where
	here    bool
}

// writing is a card.written entry.
type writing struct {
	at  Where
	to  journal.Commitment
	own bool
}

// newest returns the writing with the greatest id, which holds.
func (c *card) newest() (w writing) {
	for _, x := range c.written {
		if bytes.Compare(x.at.ID[:], w.at.ID[:]) > 0 {
			w = x
		}
	}
	return w
}

func (a *audit) card(id journal.CardID) *card {
	c := a.cards[id]
	if c == nil {
		c = new(card)
		a.cards[id] = c
	}
	return c
}

// checkCards checks every card against the entries that wrote or erased it.
func (a *audit) checkCards(ctx context.Context) error {
	for raw, err := range a.Beside.RawCards(ctx) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			a.damage(Where{Part: Card}, fmt.Sprintf("Some customer cards cannot be read: %v.", err), doDatabase)
			continue
		}
		a.report.Checked.Cards++
		a.checkCard(raw)
	}
	for _, id := range slices.Sorted(maps.Keys(a.cards)) {
		switch c := a.cards[id]; {
		case c.here:
		case len(c.erased) > 0:
			a.damage(about(id, c.erased[0]), "This card was erased, and the note that keeps late copies out is gone.", doErase)
		default:
			w := c.newest()
			a.report.add(Finding{here(w.own), about(id, w.at), "An entry wrote this card, and its details are not here.", doSync})
		}
	}
	return nil
}

// about places a finding at a card and the entry that speaks of it.
func about(id journal.CardID, at Where) Where {
	at.Part, at.Card = Card, id
	return at
}

func (a *audit) checkCard(raw RawCard) {
	var id journal.CardID
	if err := id.UnmarshalText([]byte(raw.Card)); err != nil {
		a.damage(Where{Part: Card}, fmt.Sprintf("A card lies under a name that is not one of a card: %v.", err), doDatabase)
		return
	}
	c := a.card(id)
	c.here = true
	if len(raw.Changed) != len(journal.EntryID{}) {
		a.damage(Where{Part: Card, Card: id}, "The entry that it rests on is not noted as an id.", doDatabase)
		return
	}
	changed := journal.EntryID(raw.Changed)
	if raw.JSON == nil {
		a.checkErased(id, c, changed)
		return
	}
	if len(c.erased) > 0 {
		a.damage(about(id, c.erased[0]), "This card was erased, and its details are still here.", doErase)
	}
	var details journal.Card
	if err := json.Unmarshal(raw.JSON, &details, json.RejectUnknownMembers(true)); err != nil {
		a.damage(Where{Part: Card, Card: id}, "Its details cannot be read.", doCard)
		return
	}
	if details.Card != id || details.Written != changed && !details.Written.IsZero() {
		a.damage(Where{Part: Card, Card: id}, "Its details name another card or another entry than it lies under.", doCard)
	} else if again, err := json.Marshal(details, json.Deterministic(true)); err != nil || !bytes.Equal(again, raw.JSON) {
		a.damage(Where{Part: Card, Card: id}, "Its details are not in the expected format.", doCard)
	}
	a.checkWritten(id, c, changed, details)
}

// checkErased checks a card of which nothing is left.
func (a *audit) checkErased(id journal.CardID, c *card, changed journal.EntryID) {
	rests := func(at Where) bool { return at.ID == changed }
	switch i := slices.IndexFunc(c.written, func(w writing) bool { return rests(w.at) }); {
	case i >= 0:
		a.damage(about(id, c.written[i].at), "Its details are gone, and the entry that it rests on wrote them.", doCard)
	case len(c.erased) == 0:
		a.remark(Where{Part: Card, Card: id}, "It was erased, and the entry that says so is not here.", doSync)
	case !slices.ContainsFunc(c.erased, rests):
		a.damage(about(id, c.erased[0]), "It was erased, and it rests on another entry than the one that says so.", doDatabase)
	}
}

// checkWritten checks details against the entries that committed to them.
func (a *audit) checkWritten(id journal.CardID, c *card, changed journal.EntryID, details journal.Card) {
	i := slices.IndexFunc(c.written, func(w writing) bool { return w.at.ID == changed })
	if i < 0 {
		a.remark(Where{Part: Card, Card: id}, "The entry that wrote these details is not here.", doSync)
	} else if !details.Opens(c.written[i].to) {
		a.damage(about(id, c.written[i].at), "Its details are not those that the entry committed to.", doCard)
	}
	if w := c.newest(); bytes.Compare(w.at.ID[:], changed[:]) > 0 {
		a.report.add(Finding{here(w.own), about(id, w.at), "A newer entry wrote this card, and its details are not here.", doSync})
	}
}

func (a *audit) checkQuarantine(ctx context.Context) error {
	for q, err := range a.Beside.RawQuarantined(ctx) {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			a.damage(Where{Part: Quarantine}, fmt.Sprintf("What lies in quarantine cannot be read: %v.", err), doDatabase)
			continue
		}
		a.remark(Where{Part: Quarantine, Log: journal.DeviceID(q.Device)},
			fmt.Sprintf("On %s came %d bytes that could not be verified and were kept: %s.", words.Second(q.At), q.Bytes, q.Reason), doLook)
	}
	return nil
}
