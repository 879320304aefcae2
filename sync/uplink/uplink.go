package uplink

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
)

// Uplink is one tablet's sync. Run it; ask its Status at any time.
type Uplink struct {
	cfg Config

	mu      sync.Mutex // guards what follows
	status  Status
	changed chan struct{}

	// Below: owned by the loop's goroutine.
	skew     *segment.Skew
	agreed   agreed
	parted   bool        // the hub holds another history of the own log
	named    []media.Ref // originals that waited when a round began, whose entries the hub now has
	sought   sought
	gaveBack int64 // the run of the hub that was told all that it may have lost
	woken    <-chan struct{}
	pace     pace
}

// mostRounds is how many rounds there are in a second. Somebody who works needs far fewer;
// a program that writes without a rest has more of it sent in each.
const mostRounds = 20

// pace is when the last rounds began.
type pace struct {
	at   [mostRounds]time.Time
	next int // the oldest of them
}

func (p *pace) began(now time.Time) {
	p.at[p.next] = now
	p.next = (p.next + 1) % len(p.at)
}

// until is how long the next round is to wait.
func (p *pace) until(now time.Time) time.Duration {
	ago := now.Sub(p.at[p.next])
	if p.at[p.next].IsZero() || ago < 0 || ago > time.Second { // a clock that was set back waits for nothing
		return 0
	}
	return time.Second - ago
}

// New makes an uplink.
func New(cfg Config) *Uplink {
	if cfg.Every == 0 {
		cfg.Every = DefaultEvery
	}
	return &Uplink{cfg: cfg, woken: cfg.Log.Woken(), changed: make(chan struct{})}
}

// Run syncs until the context ends.
func (u *Uplink) Run(ctx context.Context) error {
	var lane sync.WaitGroup
	defer lane.Wait()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	nudge := make(chan []media.Ref, 1)
	lane.Go(func() { u.photoLane(ctx, nudge) })
	if u.cfg.Alive != nil {
		lane.Go(func() { u.feel(ctx) })
	}

	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-timer.C:
		case <-u.woken:
		case <-u.cfg.Line.News():
		}
		if !pause(ctx, u.pace.until(u.cfg.Now())) {
			return nil
		}
		u.pace.began(u.cfg.Now())
		wait := u.round(ctx)
		select {
		case <-nudge: // the lane has not seen it yet
		default:
		}
		nudge <- u.named
		timer.Reset(wait)
	}
}

// Meet compares the own log once with what the hub holds of it, so that one that was put
// back from an older copy is closed before anything is written to it. It tries until the
// context ends; what it returns then is why hub and tablet did not meet. It must not be
// called beside Run.
func (u *Uplink) Meet(ctx context.Context) error {
	for {
		w, own, err := u.greet(ctx)
		if err == nil {
			_, err = u.checkOwn(ctx, w, own)
			return err
		}
		if !errors.Is(err, ErrNoNetwork) || !pause(ctx, meetAgain) { // a hub that is just starting
			return err
		}
	}
}

const meetAgain = 50 * time.Millisecond

func pause(ctx context.Context, d time.Duration) bool {
	if d <= 0 {
		return ctx.Err() == nil
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return true
	}
}

// offlineWait is how long the loop sleeps while there is no network, unfinishedWait
// how long where a round left something to do and the hub says no word of it.
const (
	offlineWait    = 2 * time.Second
	unfinishedWait = 5 * time.Second
)

// round greets, sends and fetches once, and says how long to wait for the
// next round if nothing wakes the loop.
func (u *Uplink) round(ctx context.Context) time.Duration {
	done, err := u.sync(ctx)
	away := errors.Is(err, ErrNoNetwork)
	if ctx.Err() == nil {
		u.refused(ctx, err)
	}
	waits := !u.Status().Waits.IsZero()
	u.tell(func(s *Status) {
		s.CaughtUp, s.Away, s.Problem = done && err == nil, away, ""
		if err != nil && ctx.Err() == nil {
			if s.Problem = problem(err); waits {
				s.Problem = (&Wait{}).Error()
			}
			u.cfg.Logger.DebugContext(ctx, "sync round", "error", err)
		}
	})
	switch {
	case away:
		return min(u.cfg.Every, offlineWait)
	case done || err != nil:
		return u.cfg.Every
	default:
		return min(u.cfg.Every, unfinishedWait)
	}
}

// problem says why a round did not do everything. Without a network it is that,
// whatever was to be asked.
func problem(err error) string {
	if wait := (*Wait)(nil); errors.As(err, &wait) {
		return wait.Error()
	}
	for _, why := range []error{ErrNotLetIn, ErrNoNetwork} {
		if errors.Is(err, why) {
			return why.Error()
		}
	}
	return err.Error()
}

// sync is one round; it reports whether hub and tablet now hold the same.
// What one step cannot do holds up none of the others, unless it was the
// network that failed.
func (u *Uplink) sync(ctx context.Context) (bool, error) {
	waiting, err := u.cfg.Photos.Unconfirmed(ctx)
	if err != nil {
		return false, err
	}
	w, own, err := u.greet(ctx)
	if err != nil {
		return false, err
	}
	all := true
	var errs []error
	send := func(ctx context.Context, w segment.Welcome, own int64) (bool, error) {
		done, err := u.send(ctx, w, own)
		if no := (*Refused)(nil); err == nil || errors.As(err, &no) && no.What == segment.Greet { // a closed log has originals too
			u.named = waiting
		}
		return done, err
	}
	for _, step := range []func(context.Context, segment.Welcome, int64) (bool, error){
		u.checkOwn, u.compare, u.giveAll, send, u.fetch, u.cards, u.where, u.wanted,
	} {
		done, err := step(ctx, w, own)
		all = all && done && err == nil
		if err != nil {
			errs = append(errs, err)
		}
		if ctx.Err() != nil || errors.Is(err, ErrNoNetwork) {
			break
		}
	}
	return all, errors.Join(errs...)
}

// greet tells the hub what is held here and notes what it says.
func (u *Uplink) greet(ctx context.Context) (segment.Welcome, int64, error) {
	var w segment.Welcome
	heads, err := u.cfg.Log.Heads(ctx)
	if err != nil {
		return w, 0, err
	}
	g := segment.Greeting{Clock: u.skew}
	var own int64
	for _, h := range heads {
		g.Holds = append(g.Holds, segment.Reach{Device: h.Device, Size: h.Size})
		if h.Device == u.cfg.Device {
			own = h.Size
		}
	}
	if u.cfg.Agreed != nil {
		g.Agreed = u.cfg.Agreed()
	}
	sent := u.cfg.Now()
	g.Sent = sent.UnixNano()
	if err := u.ask(ctx, segment.Greet, g, &w); err != nil {
		return w, own, err
	}
	back := u.cfg.Now()
	skew := w.Measure(sent, back)
	if skew.Telling() {
		u.skew = &skew
		if u.cfg.Compared != nil {
			u.cfg.Compared(skew.Offset)
		}
	}
	held := reach(w.Holds, u.cfg.Device)
	u.tell(func(s *Status) {
		s.Here, s.AtHub, s.Countersigned = own, held.Size, held.Countersigned
		s.heard(back)
		if skew.Telling() {
			s.Skew = skew.Offset
		}
	})
	return w, own, nil
}

func reach(list []segment.Reach, device journal.DeviceID) segment.Reach {
	for _, r := range list {
		if r.Device == device {
			return r
		}
	}
	return segment.Reach{Device: device}
}

// Reasons for which a log is closed, as a person reads them.
const (
	rolledBack = "this tablet was restored from an older copy: the hub holds entries of it that were missing here and are now fetched back"
	forkedHere = "this tablet and the hub hold different histories of its log; both are kept"
)

// checkOwn compares the own log with what the hub holds of it. A tablet that
// was rolled back must not write on, or it would show two histories.
func (u *Uplink) checkOwn(ctx context.Context, w segment.Welcome, own int64) (bool, error) {
	held := reach(w.Holds, u.cfg.Device).Size
	u.parted = false
	if w.Closed != "" {
		return true, u.cfg.History.CloseLog(ctx, u.cfg.Device, w.Closed)
	}
	if held > own {
		return true, u.cfg.History.CloseLog(ctx, u.cfg.Device, rolledBack)
	}
	if held == 0 {
		return true, nil
	}
	root, err := u.cfg.History.RootAt(ctx, u.cfg.Device, held)
	if err != nil {
		return false, err
	}
	if u.parted = root != w.Root; u.parted {
		return false, u.showFork(ctx)
	}
	return true, nil
}

// showFork closes the own log and sends all of it, so that the hub has the
// proof that it contradicts what it holds.
func (u *Uplink) showFork(ctx context.Context) error {
	if err := u.cfg.History.CloseLog(ctx, u.cfg.Device, forkedHere); err != nil {
		return err
	}
	var no *Refused // that it is forked
	if err := u.handOver(ctx, segment.Send, segment.Reach{Device: u.cfg.Device}); err != nil && !errors.As(err, &no) {
		return err
	}
	return errors.New(forkedHere + "; join the shop again with a new invitation")
}

// ask sends a question and reads the reply.
func (u *Uplink) ask(ctx context.Context, what segment.What, question, reply any) error {
	raw, err := u.cfg.Codec.Marshal(question)
	if err != nil {
		return err
	}
	answer, err := u.cfg.Line.Ask(ctx, what, raw)
	if err != nil {
		return fmt.Errorf("ask the hub (%s): %w", what, err)
	}
	var a segment.Answer
	if err := u.cfg.Codec.Unmarshal(answer, &a); err != nil {
		return err
	}
	if a.Refused != "" {
		return &Refused{What: what, Sentence: a.Refused}
	}
	return u.cfg.Codec.UnmarshalBody(a.Body, reply)
}

// Refused is the hub's no, with its reason in a sentence.
type Refused struct {
	What     segment.What
	Sentence string
}

func (e *Refused) Error() string { return "the hub says: " + e.Sentence }
