package uplink

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/media"
	"fettlebook/sync/segment"
)

// wanted asks the hub, in each of its runs, what it lost beside entries, once it has all of
// those that are here: originals that it had confirmed wait again, and countersignatures
// that it had made are given back.
func (u *Uplink) wanted(ctx context.Context, w segment.Welcome, own int64) (bool, error) {
	if u.gaveBack == w.Began || reach(w.Holds, u.cfg.Device).Size < own || len(w.Wants) > 0 {
		return true, nil
	}
	var after []byte
	for {
		var reply segment.WantedReply
		err := u.ask(ctx, segment.Wanted, segment.WantedAsk{After: after}, &reply)
		if no := (*Refused)(nil); errors.As(err, &no) { // a hub from before this question
			break
		}
		if err != nil {
			return false, err
		}
		if after == nil {
			if err := u.giveReceipts(ctx, reply.Receipts); err != nil {
				return false, fmt.Errorf("give countersignatures back: %w", err)
			}
		}
		for _, raw := range reply.Originals {
			if len(raw) != len(media.Ref{}) {
				return false, fmt.Errorf("%w: a photo’s hash has 32 bytes", segment.ErrWire)
			}
			if err := u.bringAgain(ctx, media.Ref(raw)); err != nil {
				return false, err
			}
			after = raw
		}
		if !reply.More || len(reply.Originals) == 0 {
			break
		}
	}
	u.gaveBack = w.Began
	return true, nil
}

// bringAgain has an original of this device wait again that the hub lacks. One that is not
// here either does not: the hub is told, by asking whether it has it, and names it as missing.
func (u *Uplink) bringAgain(ctx context.Context, ref media.Ref) error {
	gave, err := u.cfg.Photos.Gave(ctx, ref)
	if err != nil || !gave {
		return err
	}
	f, _, err := u.cfg.Originals.Open(ctx, ref)
	if err != nil {
		err := u.ask(ctx, segment.Offer, segment.PhotoAsk{Ref: ref[:]}, new(segment.PhotoReply))
		if no := (*Refused)(nil); errors.As(err, &no) {
			return nil // no entry there names it yet
		}
		return err
	}
	return errors.Join(f.Close(), u.cfg.Photos.Unconfirm(ctx, ref))
}

// giveReceipts gives the hub the countersignatures that it made in a time of which it may
// have lost them.
func (u *Uplink) giveReceipts(ctx context.Context, list []segment.Window) error {
	for _, w := range list {
		if u.agreed.apart[w.Device] {
			continue
		}
		for from, more := w.From, true; more; {
			held, err := u.cfg.Receipts.CountersignedSince(ctx, w.Device, from, segment.ReceiptsPerReply)
			if err != nil {
				return err
			}
			ask := segment.ReceiptsAsk{Device: w.Device, From: from}
			for _, c := range held {
				if from = c.Size; c.At.Unix() <= w.Until {
					ask.Countersigned = append(ask.Countersigned, c.Note)
				}
			}
			if more = len(held) == segment.ReceiptsPerReply; len(ask.Countersigned) == 0 {
				continue
			}
			if err := u.ask(ctx, segment.Receipts, ask, nil); err != nil {
				return err
			}
		}
	}
	return nil
}
