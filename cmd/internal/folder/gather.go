package folder

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// Gather takes in what another database of the shop holds: the hub's log first,
// since it names the keys of all others, then the others, what the hub
// countersigned of each, and the cards.
func (f *Folder) Gather(ctx context.Context, path string) (err error) {
	from, err := sqlitelog.OpenToRead(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	heads, err := from.Heads(ctx)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(heads, func(h journal.Head) bool { return h.Device == f.Hub })
	if at < 0 {
		return fmt.Errorf("the hub’s log is not in %s: %w", path, journal.ErrNoLog)
	}
	for _, h := range slices.Concat(heads[at:at+1], heads[:at], heads[at+1:]) {
		if err := f.gatherLog(ctx, from, h); err != nil {
			return fmt.Errorf("take in the log of %s: %w", h.Device, err)
		}
	}
	cards, err := from.CardsSince(ctx, 0)
	if err != nil {
		return err
	}
	for _, c := range cards {
		if err := f.Log.SaveCard(ctx, c); err != nil {
			return err
		}
	}
	return nil
}

// receiptsAtOnce is how many countersignatures are read at once.
const receiptsAtOnce = 500

func (f *Folder) gatherLog(ctx context.Context, from *sqlitelog.DB, h journal.Head) error {
	var receipts []journal.Countersigned
	for after := int64(0); ; after = receipts[len(receipts)-1].Size {
		list, err := from.CountersignedSince(ctx, h.Device, after, receiptsAtOnce)
		if err != nil {
			return err
		}
		if receipts = append(receipts, list...); len(list) < receiptsAtOnce {
			break
		}
	}
	here, err := f.Log.Head(ctx, h.Device)
	if err != nil && !errors.Is(err, journal.ErrNoLog) {
		return err
	}
	for have := here.Size; have < h.Size; {
		s, err := from.Segment(ctx, h.Device, have, journal.MaxSegmentBytes)
		if err != nil {
			return err
		}
		if len(s.Entries) == 0 {
			break
		}
		list, err := cut(ctx, from, s, receipts)
		if err != nil {
			return err
		}
		if here, err = f.Log.ReceiveAll(ctx, list); err != nil {
			return err
		}
		have = here.Size
	}
	for _, c := range receipts {
		good, err := f.Log.Countersignature(ctx, h.Device, c.Note)
		if err != nil || good.Size > max(here.Size, h.Size) {
			continue // what does not hold here says nothing
		}
		if err := f.Log.SaveCountersigned(ctx, good); err != nil {
			return err
		}
	}
	return nil
}

// cut cuts a segment wherever the hub countersigned: a hub keeps the device's
// checkpoint beside each such entry.
func cut(ctx context.Context, from *sqlitelog.DB, s journal.Segment, receipts []journal.Countersigned) (list []journal.Segment, err error) {
	rest := s
	for _, c := range receipts {
		if c.Size <= rest.First || c.Size >= s.End() {
			continue
		}
		text, err := from.KeyAt(ctx, s.Device, c.Size)
		if err != nil {
			return nil, err
		}
		key, err := proof.Verifier(text)
		if err != nil {
			return nil, err
		}
		alone, err := proof.Alone(c.Note, key)
		if err != nil {
			continue // it holds nowhere
		}
		piece := rest
		piece.Entries, piece.Checkpoint = rest.Entries[:c.Size-rest.First], alone
		list = append(list, piece)
		rest.Entries, rest.First = rest.Entries[c.Size-rest.First:], c.Size
	}
	return append(list, rest), nil
}
