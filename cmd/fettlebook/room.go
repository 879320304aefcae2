package main

import (
	"context"
	"sync"
	"time"

	"fettlebook/cmd/internal/folder"
)

// roomKeeper remembers for a while how much room photographs take: every one of them has to be
// looked at to know.
type roomKeeper struct {
	dir string
	now func() time.Time

	mu sync.Mutex // guards what follows
	at time.Time
	g  folder.Growth
}

// roomLife is how long what was measured is told; fewMonths are so few that somebody has to
// look after it.
const (
	roomLife  = time.Hour
	fewMonths = 3
)

// room says how much room the photographs take, and whether it is soon gone.
func (k *roomKeeper) room(ctx context.Context) (says string, soon bool, err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if now := k.now(); k.at.IsZero() || now.Sub(k.at).Abs() > roomLife {
		if k.g, err = folder.PhotosGrowth(ctx, k.dir, now); err != nil {
			return "", false, err
		}
		k.at = now
	}
	months, known := k.g.Months()
	soon = known && months < fewMonths
	says = growth(k.g)
	if soon {
		says += " `fettlebook photos archive FOLDER --before DAY` moves old ones to another disk."
	}
	return says, soon, nil
}
