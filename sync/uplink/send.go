package uplink

import (
	"context"
	"errors"
	"fmt"
	"time"

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
// answer says that the hub has one on the disk. While the first is waited for, others are
// under way or made ready: at first none, and one more after each answer that came
// quickly, so that a slow line carries one at a time. What another device wrote is given
// back one by one.
func (u *Uplink) handOver(ctx context.Context, what segment.What, held segment.Reach) (err error) {
	ctx, stop := context.WithCancel(ctx)
	ahead := u.ready(ctx, held)
	var out []<-chan answered
	defer func() { // nothing is left running
		stop()
		if ahead != nil {
			<-ahead
		}
		for _, o := range out {
			<-o
		}
	}()
	most := 1
	for {
		for ahead != nil && len(out) < most {
			next := <-ahead
			ahead = nil
			if next.err != nil {
				return next.err
			}
			if next.ask.Segment != nil {
				ahead = u.ready(ctx, segment.Reach{Device: held.Device, Size: next.end})
				out = append(out, u.askBeside(ctx, what, next.ask))
			}
		}
		if len(out) == 0 {
			return nil
		}
		a := <-out[0]
		out = out[1:]
		switch {
		case a.err != nil:
			return a.err
		case what == segment.Send && a.took < quick:
			most = min(most+1, segment.UnderWay)
		default:
			most = 1
		}
	}
}

// quick is within what time an answer comes on a line that carries more at once.
const quick = time.Second

// answered is what became of a question.
type answered struct {
	took time.Duration
	err  error
}

// askBeside asks while others are asked.
func (u *Uplink) askBeside(ctx context.Context, what segment.What, ask segment.GiveAsk) <-chan answered {
	done := make(chan answered, 1)
	began := u.cfg.Now()
	go func() {
		err := u.ask(ctx, what, ask, nil)
		done <- answered{u.cfg.Now().Sub(began), err}
	}()
	return done
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
