package uplink

import (
	"context"
	"errors"
	"fmt"

	"fettlebook/journal"
	"fettlebook/sync/segment"
)

// send brings the own log to the hub, from the hub's mark on, and reports
// whether the hub already held and had countersigned all of it.
func (u *Uplink) send(ctx context.Context, w segment.Welcome, own int64) (bool, error) {
	held := reach(w.Holds, u.cfg.Device)
	switch {
	case w.Closed != "":
		return false, &Refused{What: segment.Greet, Sentence: w.Closed}
	case u.parted: // all of it was sent, as the proof of that
		return false, nil
	case held.Size >= own:
		return held.Countersigned >= own, nil
	}
	if err := u.handOver(ctx, segment.Send, segment.Reach{Device: u.cfg.Device, Size: held.Size}); err != nil {
		return false, fmt.Errorf("send entries: %w", err)
	}
	return false, nil
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
		if err := u.handOver(ctx, segment.Give, want); err != nil {
			errs = append(errs, fmt.Errorf("give log of %s back: %w", want.Device, err))
			if ctx.Err() != nil || errors.Is(err, ErrNoNetwork) {
				break
			}
		}
	}
	return all, errors.Join(errs...)
}

// handOver brings a log to the hub from where that holds it to, segment by segment. An
// answer says that the hub has one on the disk; while it is waited for, the next is made
// ready.
func (u *Uplink) handOver(ctx context.Context, what segment.What, held segment.Reach) error {
	ahead := u.ready(ctx, held)
	for {
		next := <-ahead
		if next.err != nil || next.ask.Segment == nil {
			return next.err
		}
		ahead = u.ready(ctx, segment.Reach{Device: held.Device, Size: next.end})
		if err := u.ask(ctx, what, next.ask, nil); err != nil {
			<-ahead // nothing is left running
			return err
		}
	}
}

// readied is a segment as it travels; without bytes there is none.
type readied struct {
	ask segment.GiveAsk
	end int64
	err error
}

// ready makes the next segment of a log ready.
func (u *Uplink) ready(ctx context.Context, held segment.Reach) <-chan readied {
	made := make(chan readied, 1)
	go func() {
		s, err := u.cfg.Log.Segment(ctx, held.Device, held.Size, journal.MaxSegmentBytes)
		if err != nil || len(s.Entries) == 0 {
			made <- readied{err: err}
			return
		}
		raw, err := u.cfg.Codec.Encode(s)
		made <- readied{segment.GiveAsk{Segment: raw}, s.End(), err}
	}()
	return made
}
