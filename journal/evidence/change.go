package evidence

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/words"
)

// succeed reads the changes of the hub's keys that are here, in their order.
// That each is signed by the keys before it is checked at once; that it lies in
// the hub's log is proven like any entry, in a state that its own keys sign.
func (r *reading) succeed() error {
	for _, e := range r.list {
		if e.At.Device != r.d.Hub || e.kind() != journal.KeysChanged {
			continue
		}
		p, err := r.payload(e)
		if err != nil {
			return err
		}
		change, ok := p.(*journal.KeyChange)
		if !ok || e.e.Source.Device != r.d.Hub || e.e.Source.Shop != r.d.Shop || r.reg.hub.Follow(change, e.e, e.At.Index) != nil {
			r.reg.loose = append(r.reg.loose, e)
			continue
		}
		r.reg.keys[r.d.Hub] = append(r.reg.keys[r.d.Hub], change.LogKey)
	}
	return nil
}

// countersigned reads the hub's countersignature on a state that its device
// signed: by the keys that the hub had at its place.
func (r *reading) countersigned(got *state, raw []byte, device journal.DeviceID, key string) {
	if r.reg.founding == nil {
		return
	}
	_, at, _, err := r.reg.hub.Open(raw, device, key)
	replaced := (*proof.Replaced)(nil)
	switch {
	case err == nil:
		got.held = at
	case errors.As(err, &replaced):
		got.replaced = replaced
	default:
		got.bent = hasLineOf(raw, proof.CosignerName(r.d.Shop))
	}
}

// checkChanges says when the hub's keys were changed and why, and what is
// countersigned with keys that the hub had replaced by then.
func (r *reading) checkChanges(a *Answer) error {
	for _, e := range r.reg.loose {
		a.add(Finding{KeysNotSigned, No, fmt.Sprintf("The entry %s changes the hub’s keys and is not signed by the keys before it and by the new ones.", e.called()), []At{e.At}, paths(EntryPath(e.At))})
	}
	for i, reign := range r.reg.hub.Reigns {
		if reign.Change == nil {
			continue
		}
		at := At{Device: r.d.Hub, Index: reign.Since}
		before := r.reg.hub.Reigns[i-1]
		if reign.Change.Unsigned() {
			if err := r.checkFounded(a, reign, before); err != nil {
				return err
			}
			continue
		}
		a.add(Finding{KeysChanged, Yes, fmt.Sprintf("The hub’s keys were changed on %s%s, with the entry %s. Before it they had the fingerprint that begins with %s, after it the one that begins with %s. What the old keys countersigned counts as far as the hub held it at that entry.",
			clock(time.Time(reign.Entry.Time)), journal.KeyReasonSaid(reign.Change.Because), at, before.Fingerprint().Begins(), reign.Fingerprint().Begins()), []At{at}, nil})
	}
	for _, l := range r.d.Logs {
		for _, s := range l.States {
			state := r.logs[l.Device].states[s.Size]
			if state == nil || !state.signed || state.replaced == nil {
				continue
			}
			by := state.replaced.By
			a.add(Finding{KeysReplaced, No, fmt.Sprintf("The hub’s countersignature over %s of the log of %s does not count: it is by keys that were replaced on %s%s, and their word on this log ends at %s.",
				words.Count(s.Size, "entry"), l.Device, clock(time.Time(by.Entry.Time)), journal.KeyReasonSaid(by.Change.Because), words.Count(state.replaced.Reach, "entry")), nil, paths(CheckpointPath(l.Device, s.Size))})
		}
	}
	return nil
}

// checkFounded says of keys that the ones before did not sign who agreed to
// them: which of the tablets that the shop had then.
func (r *reading) checkFounded(a *Answer, reign, before proof.Reign) error {
	had, agreed := make(map[journal.DeviceID]bool), make(map[journal.DeviceID]bool)
	for _, e := range r.list {
		if e.in == nil || e.void != "" {
			continue
		}
		p, err := r.agreeing(e)
		if err != nil {
			return err
		}
		switch p := p.(type) {
		case *journal.Device:
			if e.At.Index < reign.Since {
				had[p.Device] = true
			}
		case *journal.KeyAgreement:
			if p.Device == e.At.Device && p.Old == before.Fingerprint() && p.New == reign.Fingerprint() {
				agreed[p.Device] = true
			}
		}
	}
	for _, e := range r.list { // a tablet that was thrown out is not asked
		if e.in == nil || e.void != "" || e.kind() != journal.DeviceRevoked || e.At.Device != r.d.Hub {
			continue
		}
		p, err := r.payload(e)
		if err != nil {
			return err
		}
		if gone, ok := p.(*journal.Revocation); ok && !agreed[gone.Device] {
			delete(had, gone.Device)
		}
	}
	var with, without []string
	for _, d := range slices.Sorted(maps.Keys(had)) {
		if agreed[d] {
			with = append(with, string(d))
		} else {
			without = append(without, string(d))
		}
	}
	verdict := Yes
	if len(without) > 0 || len(with) == 0 {
		verdict = Unknown
	}
	at := At{Device: r.d.Hub, Index: reign.Since}
	a.add(Finding{KeysFounded, verdict, fmt.Sprintf("The hub’s keys were changed on %s%s, with the entry %s, and the old keys did not sign that. It was agreed to at %s that the shop had then%s%s. Before it the keys had the fingerprint that begins with %s, after it the one that begins with %s.",
		clock(time.Time(reign.Entry.Time)), journal.KeyReasonSaid(reign.Change.Because), at, words.Of(len(with), len(had), "tablet"),
		words.If(len(with) > 0, fmt.Sprintf(" (%s)", words.And(with...))), words.If(len(without) > 0, fmt.Sprintf(", and not at %s", words.And(without...))),
		before.Fingerprint().Begins(), reign.Fingerprint().Begins()), []At{at}, nil})
	return nil
}

// agreeing reads the entries that say which tablets there were, and which agreed.
func (r *reading) agreeing(e *entry) (journal.Payload, error) {
	if e.kind() == journal.KeysAgreed || e.kind() == journal.DeviceEnrolled && e.At.Device == r.d.Hub {
		return r.payload(e)
	}
	return nil, nil
}

// compareKeys holds the keys that the receipt states against those that the hub
// had at the state that it states.
func (r *reading) compareKeys(a *Answer, c *Receipt) {
	at := At{Device: r.d.Hub}
	stated := -1
	for i, reign := range r.reg.hub.Reigns {
		if reign.Fingerprint() == c.Hub {
			stated = i
		}
	}
	if r.reg.founding == nil || stated < 0 {
		a.add(Finding{ReceiptHub, No, "The hub that this file names has other keys than the hub that printed the receipt.", []At{at}, paths(EntryPath(at))})
		return
	}
	reigns := r.reg.hub.Reigns
	if then := r.reg.hub.At(c.Size); then.Fingerprint() != c.Hub {
		says := "The receipt states keys that the hub did not have yet at the state of its log that the receipt states."
		if stated+1 < len(reigns) && reigns[stated+1].Since < c.Size {
			next := reigns[stated+1]
			says = fmt.Sprintf("The receipt states keys that the hub had replaced before the state of its log that the receipt states: they were changed on %s%s.", clock(time.Time(next.Entry.Time)), journal.KeyReasonSaid(next.Change.Because))
		}
		a.add(Finding{ReceiptReplaced, No, says, nil, nil})
		return
	}
	if len(reigns) == 1 {
		return
	}
	says := "The receipt states the keys that the hub had"
	if stated > 0 {
		says += fmt.Sprintf(" after the change of the hub’s keys on %s", clock(time.Time(reigns[stated].Entry.Time)))
	}
	if stated+1 < len(reigns) {
		says += words.If(stated > 0, " and") + fmt.Sprintf(" before the change of the hub’s keys on %s", clock(time.Time(reigns[stated+1].Entry.Time)))
	}
	a.add(Finding{ReceiptKeys, Yes, says + ".", nil, nil})
}
