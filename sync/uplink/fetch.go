package uplink

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// fetch brings every log that the hub holds down to this tablet, the hub's
// own first: it is the register with the keys of all others. It also takes
// the own log back where the hub has more of it.
func (u *Uplink) fetch(ctx context.Context, w segment.Welcome, _ int64) (bool, error) {
	all := true
	var errs []error
	for _, r := range append([]segment.Reach{reach(w.Holds, w.Hub)}, w.Holds...) {
		if w.Closed != "" && r.Device == u.cfg.Device {
			continue // the hub may hold the other one of two histories
		}
		if u.agreed.apart[r.Device] {
			continue
		}
		done, err := u.fetchLog(ctx, r)
		all = all && done && err == nil
		if unproven := (*journal.Unproven)(nil); r.Device == u.cfg.Device && errors.As(err, &unproven) {
			err = u.showFork(ctx) // the own log went on in two ways
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("fetch log of %s: %w", r.Device, err))
		}
		if ctx.Err() != nil || errors.Is(err, ErrNoNetwork) {
			break
		}
	}
	return all, errors.Join(errs...)
}

func (u *Uplink) fetchLog(ctx context.Context, r segment.Reach) (bool, error) {
	have, receipts, err := u.held(ctx, r.Device)
	if err != nil {
		return false, err
	}
	for have < r.Size || receipts < min(r.Countersigned, have) {
		var reply segment.RangeReply
		if err := u.ask(ctx, segment.Range, segment.RangeAsk{Device: r.Device, From: have, Countersigned: receipts}, &reply); err != nil {
			return false, err
		}
		before, receiptsBefore := have, receipts
		if have, err = u.take(ctx, r.Device, have, reply.Segment); err != nil {
			return false, err
		}
		if receipts, err = u.takeReceipts(ctx, r.Device, have, receipts, reply.Countersigned); err != nil {
			return false, err
		}
		if have == before && receipts == receiptsBefore {
			return have >= r.Size, nil // the hub has no more; it will say when it has
		}
	}
	return true, nil
}

func (u *Uplink) held(ctx context.Context, device journal.DeviceID) (size, countersigned int64, err error) {
	heads, err := u.cfg.Log.Heads(ctx)
	if err != nil {
		return 0, 0, err
	}
	for _, h := range heads {
		if h.Device == device {
			size = h.Size
		}
	}
	c, err := u.cfg.Receipts.LastCountersigned(ctx, device)
	if err != nil {
		return 0, 0, err
	}
	return size, c.Size, nil
}

// take verifies and stores a segment that the hub passed on.
func (u *Uplink) take(ctx context.Context, device journal.DeviceID, have int64, raw []byte) (int64, error) {
	if len(raw) == 0 {
		return have, nil
	}
	s, err := u.cfg.Codec.Decode(raw)
	if err != nil {
		return have, err
	}
	if s.Device != device {
		return have, fmt.Errorf("%w: asked for log %s, got %s", segment.ErrWire, device, s.Device)
	}
	head, err := u.cfg.Log.Receive(ctx, s)
	if err != nil {
		return have, err
	}
	return head.Size, nil
}

// takeReceipts stores countersignatures over what is held here.
func (u *Uplink) takeReceipts(ctx context.Context, device journal.DeviceID, have, newest int64, notes [][]byte) (int64, error) {
	for _, signed := range notes {
		c, err := u.cfg.History.Countersignature(ctx, device, signed)
		if err != nil {
			return newest, err
		}
		if c.Size > have {
			break
		}
		if err := u.cfg.Receipts.SaveCountersigned(ctx, c); err != nil {
			return newest, err
		}
		newest = max(newest, c.Size)
	}
	return newest, nil
}
