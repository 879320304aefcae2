package uplink

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// window is how many segments are under way at once.
const window = 8

// send brings the own log to the stream, from the hub's mark on, and reports
// whether the hub already holds and countersigned all of it. What the stream
// has but the hub has not committed is sent again only when the hub makes no
// headway: it seems to have lost it.
func (u *Uplink) send(ctx context.Context, w segment.Welcome, own int64) (bool, error) {
	held := reach(w.Holds, u.cfg.Device)
	if w.Closed != "" {
		return false, &Refused{What: segment.Greet, Sentence: w.Closed}
	}
	if held.Size != u.taken {
		u.taken, u.moved = held.Size, u.cfg.Now()
	}
	if u.sent < held.Size || u.sent > own || u.sent > held.Size && u.cfg.Now().Sub(u.moved) > u.cfg.Stalled {
		u.anew(held.Size)
	}
	if held.Size >= own {
		return held.Countersigned >= own, nil
	}
	return false, u.sendOn(ctx)
}

// anew has the own log sent from an entry on, under new message ids: the
// broker would drop the old ones as repeats, although the hub needs them.
func (u *Uplink) anew(from int64) {
	now := u.cfg.Now()
	u.sent, u.moved, u.run = from, now, now.UnixNano()
}

// flight is a segment on its way to the stream.
type flight struct {
	end    int64
	stored func(context.Context) error
}

// sendOn publishes segments in order with a few under way at once. What
// counts as sent is what the stream has without a gap.
func (u *Uplink) sendOn(ctx context.Context) error {
	var flying []flight
	land := func(most int) error {
		for len(flying) > most {
			if err := flying[0].stored(ctx); err != nil {
				return fmt.Errorf("send entries: %w", err)
			}
			u.sent, u.moved = flying[0].end, u.cfg.Now()
			flying = flying[1:]
		}
		return nil
	}
	for next := u.sent; ; {
		s, err := u.cfg.Log.Segment(ctx, u.cfg.Device, next, journal.MaxSegmentBytes)
		if err != nil {
			return errors.Join(err, land(0))
		}
		if len(s.Entries) == 0 {
			return land(0)
		}
		stored, err := u.publish(ctx, s)
		if err != nil {
			return errors.Join(err, land(0))
		}
		next, flying = s.End(), append(flying, flight{s.End(), stored})
		if err := land(window); err != nil {
			return err
		}
	}
}

// publish sends one segment. Its id lets the broker drop quick repeats; the
// hub's own index is what makes it exactly once.
func (u *Uplink) publish(ctx context.Context, s journal.Segment) (func(context.Context) error, error) {
	raw, err := u.cfg.Codec.Encode(s)
	if err != nil {
		return nil, err
	}
	stored, err := u.cfg.Line.Publish(ctx, fmt.Sprintf("%s/%d-%d/%x", s.Device, s.First, s.End(), u.run), raw)
	if err != nil {
		return nil, fmt.Errorf("send entries %d to %d: %w", s.First, s.End(), err)
	}
	return stored, nil
}

// giveAll returns entries that the hub lost, log by log in the order in which
// it wants them.
func (u *Uplink) giveAll(ctx context.Context, w segment.Welcome, _ int64) (bool, error) {
	all := true
	var errs []error
	for _, want := range w.Wants {
		if u.agreed.apart[want.Device] {
			continue // it goes on from another history
		}
		all = false
		if err := u.give(ctx, want); err != nil {
			errs = append(errs, fmt.Errorf("give log of %s back: %w", want.Device, err))
			if ctx.Err() != nil || errors.Is(err, ErrNoNetwork) {
				break
			}
		}
	}
	return all, errors.Join(errs...)
}

func (u *Uplink) give(ctx context.Context, want segment.Reach) error {
	for from := want.Size; ; {
		s, err := u.cfg.Log.Segment(ctx, want.Device, from, journal.MaxSegmentBytes)
		if err != nil || len(s.Entries) == 0 {
			return err
		}
		raw, err := u.cfg.Codec.Encode(s)
		if err != nil {
			return err
		}
		if err := u.ask(ctx, segment.Give, segment.GiveAsk{Segment: raw}, nil); err != nil {
			return err
		}
		from = s.End()
	}
}
