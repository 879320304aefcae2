package witness

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/witnessed"

	"golang.org/x/mod/sumdb/note"
)

const (
	// Every is how often a log that has grown is witnessed.
	Every = 24 * time.Hour

	firstRetry = time.Minute
	lastRetry  = time.Hour
	patience   = 30 * time.Second // for one answer
)

// Anchorer gives the newest state of the hub's log, with all logs anchored in
// it.
type Anchorer interface {
	Anchor(ctx context.Context) (journal.Countersigned, error)
}

// KeeperConfig says who is asked about what.
type KeeperConfig struct {
	Hub      Anchorer
	Key      note.Verifier // signs the hub's log
	Cosigner note.Verifier // countersigns it
	// Open, if given, opens states that may be from before the hub's keys were
	// changed, instead of Key and Cosigner.
	Open      func(signed []byte) (proof.Checkpoint, time.Time, error)
	Grown     Grown
	Authority *Authority // nil for none
	Peers     []*Peer
	Kept      *Dir
	Now       func() time.Time
	Logger    *slog.Logger
}

// Status is how things stand with those who are asked.
type Status struct {
	Last     time.Time // of the newest state of which anybody said something; zero if none
	By       []string  // who did
	Troubles []Trouble // who did not when asked last
}

// Trouble is somebody who did not answer as asked.
type Trouble struct {
	Who   string
	Since time.Time
	Err   error
}

// Keeper has the hub's log witnessed.
type Keeper struct {
	cfg  KeeperConfig
	wait time.Duration // until what is missing is asked for again; of Look

	mu       sync.Mutex
	troubles []Trouble // guarded by mu
}

// NewKeeper makes a keeper.
func NewKeeper(cfg KeeperConfig) *Keeper { return &Keeper{cfg: cfg} }

// Status returns how things stand. What was said is read from what is kept, so a
// restart forgets none of it, nor does asking others.
func (k *Keeper) Status(ctx context.Context) (Status, error) {
	kept, err := k.cfg.Kept.Last(ctx)
	if err != nil {
		return Status{}, err
	}
	s, err := said(kept)
	k.mu.Lock()
	defer k.mu.Unlock()
	s.Troubles = slices.Clone(k.troubles)
	return s, err
}

// Run asks until the context ends. Whatever fails is asked for again: nothing
// here ever stops the hub.
func (k *Keeper) Run(ctx context.Context) {
	for ctx.Err() == nil {
		next := time.NewTimer(k.Look(ctx))
		select {
		case <-ctx.Done():
			next.Stop()
		case <-next.C:
		}
	}
}

// Look asks whoever is to be asked now, and returns when to look again.
func (k *Keeper) Look(ctx context.Context) time.Duration {
	next, err := k.look(ctx)
	if err != nil {
		k.trouble(ctx, "this hub", err)
	} else {
		k.well("this hub")
	}
	if err == nil && next > 0 {
		k.wait = 0
		return next
	}
	k.wait = min(max(2*k.wait, firstRetry), lastRetry)
	return k.wait
}

// look returns when a new state is due; zero says that something is missing of
// this one.
func (k *Keeper) look(ctx context.Context) (time.Duration, error) {
	kept, err := k.cfg.Kept.Newest(ctx)
	if err != nil {
		return 0, err
	}
	due, err := k.due(kept)
	if err != nil {
		return 0, err
	}
	if due <= 0 {
		c, err := k.cfg.Hub.Anchor(ctx)
		if err != nil {
			return 0, err
		}
		switch {
		case c.Size < kept.Size:
			return 0, ErrAhead
		case c.Size > kept.Size:
			kept = witnessed.Kept{Size: c.Size, Note: c.Note}
			// Before anybody is asked, so that what is missing of it after a
			// restart is asked for again, and no other state.
			if err := k.cfg.Kept.Save(kept); err != nil {
				return 0, err
			}
		}
		due = Every
	}
	if kept.Size == 0 {
		return due, nil
	}
	whole, err := k.ask(ctx, kept)
	if err != nil || !whole {
		return 0, err
	}
	return due, nil
}

// due returns how long the newest state that is kept will do.
func (k *Keeper) due(kept witnessed.Kept) (time.Duration, error) {
	if kept.Size == 0 {
		return 0, nil
	}
	_, at, err := k.open(kept.Note)
	if err != nil {
		return 0, fmt.Errorf("read what was witnessed: %w", err)
	}
	left := at.Add(Every).Sub(k.cfg.Now())
	return min(left, Every), nil // a clock that was put back must not stop it for long
}

func (k *Keeper) open(signed []byte) (proof.Checkpoint, time.Time, error) {
	if k.cfg.Open != nil {
		return k.cfg.Open(signed)
	}
	return proof.OpenCountersigned(signed, k.cfg.Key, k.cfg.Cosigner)
}

// ask asks whoever has not said anything yet of the state, and keeps what they
// say. A timestamp is of the note with all its lines, so a line that comes late
// is kept as soon as there is a timestamp of the note that has it.
func (k *Keeper) ask(ctx context.Context, kept witnessed.Kept) (whole bool, err error) {
	c, _, err := k.open(kept.Note)
	if err != nil {
		return false, fmt.Errorf("read what was witnessed: %w", err)
	}
	whole = true
	signed := kept.Note
	for _, p := range k.cfg.Peers {
		has, err := witnessed.Cosigned(signed, p.Key)
		if err != nil {
			return false, err
		}
		if len(has) > 0 {
			continue
		}
		c.Note = signed
		with, err := k.askPeer(ctx, p, c)
		if k.heard(ctx, p.Key.Name(), err) {
			signed = with
		} else {
			whole = false
		}
	}
	grew := len(signed) > len(kept.Note)
	switch {
	case k.cfg.Authority != nil && (grew || kept.Stamp == nil):
		answer, err := k.askAuthority(ctx, signed)
		if k.heard(ctx, k.cfg.Authority.URL, err) {
			kept.Note, kept.Stamp = signed, answer
			err = k.cfg.Kept.Save(kept)
		} else if whole, err = false, nil; grew && kept.Stamp == nil {
			kept.Note = signed
			err = k.cfg.Kept.Save(kept)
		}
		if err != nil {
			return false, err
		}
	case grew:
		kept.Note, kept.Stamp = signed, nil
		if err := k.cfg.Kept.Save(kept); err != nil {
			return false, err
		}
	}
	return whole, nil
}

func (k *Keeper) askPeer(ctx context.Context, p *Peer, c proof.Checkpoint) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	return p.Sign(ctx, c, k.cfg.Grown)
}

func (k *Keeper) askAuthority(ctx context.Context, state []byte) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	answer, _, err := k.cfg.Authority.Stamp(ctx, state)
	return answer, err
}

// said tells who said something of a state, and when last.
func said(kept witnessed.Kept) (s Status, err error) {
	says := func(who string, at time.Time) {
		s.By = append(s.By, who)
		if at.After(s.Last) {
			s.Last = at
		}
	}
	for _, key := range kept.Witnesses {
		v, err := witnessed.Verifier(key)
		if err != nil {
			return Status{}, err
		}
		list, err := witnessed.Cosigned(kept.Note, v)
		if err != nil {
			return Status{}, err
		}
		for _, c := range list {
			says(c.Witness, c.Time)
		}
	}
	if stamp, err := witnessed.CheckStamp(kept.Stamp, kept.Note); err == nil {
		says(stamp.Authority, stamp.Time)
	}
	return s, nil
}

// heard notes whether somebody answered as asked.
func (k *Keeper) heard(ctx context.Context, who string, err error) bool {
	if err != nil {
		k.trouble(ctx, who, err)
		return false
	}
	k.well(who)
	return true
}

// trouble notes that somebody does not answer as asked. It is logged once, not
// at each try.
func (k *Keeper) trouble(ctx context.Context, who string, err error) {
	if ctx.Err() != nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	for i, t := range k.troubles {
		if t.Who == who {
			k.troubles[i].Err = err
			return
		}
	}
	k.troubles = append(k.troubles, Trouble{who, k.cfg.Now(), err})
	k.cfg.Logger.WarnContext(ctx, "the log could not be witnessed; it is tried again", "by", who, "error", err)
}

func (k *Keeper) well(who string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.troubles = slices.DeleteFunc(k.troubles, func(t Trouble) bool { return t.Who == who })
}
