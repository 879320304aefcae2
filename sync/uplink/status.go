package uplink

import (
	"context"
	"errors"
	"time"
)

// Status is where the tablet stands with the hub.
type Status struct {
	Here          int64 // entries of the own log here
	AtHub         int64 // of these, committed at the hub
	Countersigned int64 // of these, countersigned by the hub
	PhotosWaiting int   // originals the hub has not confirmed
	Lane          Lane
	Connected     time.Time // when the hub last answered
	Away          bool      // it does not answer now
	Refused       time.Time // since when it does not let this tablet in; zero if it does
	Waits         time.Time // until when it asked this tablet to wait; zero if it did not
	Problem       string    // why the last round did not do everything, or ""
	Skew          time.Duration
	CaughtUp      bool // nothing was left to do after the last round
}

// Lane is how far the originals are that are on their way together.
type Lane struct {
	Done, Of    int   // originals
	Sent, Total int64 // bytes
}

// heard notes that the hub answered. Whoever looks in the middle of a round
// that follows one without a network sees that too.
func (s *Status) heard(at time.Time) {
	s.Refused, s.Waits = time.Time{}, time.Time{}
	if s.Connected = at; s.Away {
		s.Away, s.Problem = false, ""
	}
}

// MarkRefused is the mark under which a tablet keeps since when its hub does not let it
// in, in RFC 3339: for what writes while no program runs. It is empty while it does.
const MarkRefused = "not let in"

// markWait is the mark under which a tablet keeps until when its hub asked it to wait, in
// RFC 3339: who is not let in may have heard that in an earlier run.
const markWait = "asked to wait"

// awaits keeps until when the hub asked this tablet to wait, and returns it.
func (u *Uplink) awaits(ctx context.Context, err error) time.Time {
	if !errors.Is(err, ErrNotLetIn) && errors.Is(err, ErrNoNetwork) {
		return time.Time{} // nobody knows
	}
	text, failed := u.cfg.Cards.Mark(ctx, markWait)
	until, _ := time.Parse(time.RFC3339, text) // zero where there is none
	var wait *Wait
	switch now := u.cfg.Now(); {
	case errors.As(err, &wait):
		until = wait.Until
		if u.skew != nil {
			until = until.Add(u.skew.Offset)
		}
	case !errors.Is(err, ErrNotLetIn), !now.Before(until):
		until = time.Time{}
	}
	want := ""
	if !until.IsZero() {
		want = until.Format(time.RFC3339)
	}
	if failed == nil && want != text {
		failed = u.cfg.Cards.SetMark(ctx, markWait, want)
	}
	if failed != nil && ctx.Err() == nil {
		u.cfg.Logger.WarnContext(ctx, "keep that the hub asked to wait", "error", failed)
	}
	return until
}

// refused keeps since when the hub does not let this tablet in, or that it does again.
func (u *Uplink) refused(ctx context.Context, err error) {
	waits := u.awaits(ctx, err)
	is := errors.Is(err, ErrNotLetIn) && waits.IsZero()
	if !errors.Is(err, ErrNotLetIn) && errors.Is(err, ErrNoNetwork) {
		return // nobody knows
	}
	text, err := u.cfg.Cards.Mark(ctx, MarkRefused)
	since, _ := time.Parse(time.RFC3339, text) // zero where there is none
	if err == nil && is == since.IsZero() {
		if since, text = (time.Time{}), ""; is {
			since = u.cfg.Now()
			text = since.Format(time.RFC3339)
		}
		err = u.cfg.Cards.SetMark(ctx, MarkRefused, text)
	}
	if err != nil && ctx.Err() == nil {
		u.cfg.Logger.WarnContext(ctx, "keep whether the hub lets this tablet in", "error", err)
	}
	u.tell(func(s *Status) { s.Refused, s.Waits = since, waits })
}

// news is what of a status people are told at once; when the hub last answered
// changes with every answer.
func (s Status) news() Status {
	s.Connected, s.Skew = time.Time{}, 0
	return s
}

// Status returns where the tablet stands.
func (u *Uplink) Status() Status {
	u.mu.Lock()
	defer u.mu.Unlock()
	return u.status
}

// Changed is closed when the tablet stands otherwise than now.
func (u *Uplink) Changed() <-chan struct{} {
	u.mu.Lock()
	defer u.mu.Unlock()
	return u.changed
}

// tell changes the status and wakes whoever waits for that.
func (u *Uplink) tell(change func(*Status)) {
	u.mu.Lock()
	defer u.mu.Unlock()
	before := u.status.news()
	if change(&u.status); u.status.news() != before {
		close(u.changed)
		u.changed = make(chan struct{})
	}
}

// A person hears within three seconds that the hub went away or came back. A line
// that needs longer than feelWait for an answer is taken for none until it answers.
const (
	feelEvery = 800 * time.Millisecond
	feelWait  = 1800 * time.Millisecond
)

// feel asks again and again whether the hub is there: a round that has nothing
// to do asks seldom, and a line that is cut without a word says nothing.
func (u *Uplink) feel(ctx context.Context) {
	tick := time.NewTicker(feelEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		within, cancel := context.WithTimeout(ctx, feelWait)
		err := u.cfg.Alive(within)
		cancel()
		if ctx.Err() != nil {
			return
		}
		u.tell(func(s *Status) {
			if err != nil {
				s.Away, s.Problem = true, problem(err)
			} else if !s.Connected.IsZero() { // the first word is a greeting's
				s.heard(u.cfg.Now())
			}
		})
	}
}
