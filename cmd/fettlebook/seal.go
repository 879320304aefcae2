package main

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/sync/hub"
)

// sealer writes record.sealed for every job that was handed back: the Merkle
// root over the job's entries as the hub holds them. What comes later is
// shown as added after handover.
type sealer struct {
	f      *folder.Folder
	hub    *hub.Hub
	logger *slog.Logger
}

const (
	sealAgain  = 5 * time.Second // how long a seal that could not be written waits for another try
	sealAtOnce = 1000            // jobs that wait for their seals
)

// run looks again whenever the shop has changed. What fails is tried again: a
// missing seal must not stop the hub.
func (s *sealer) run(ctx context.Context) error {
	select {
	case <-s.hub.Ready():
	case <-ctx.Done():
		return nil
	}
	again := time.NewTimer(0)
	defer again.Stop()
	for {
		_, changed := s.f.Folded.Now()
		if err := s.seal(ctx); err != nil && ctx.Err() == nil {
			s.logger.WarnContext(ctx, "seal records", "error", err)
			again.Reset(sealAgain)
		}
		select {
		case <-ctx.Done():
			return nil
		case <-changed:
		case <-again.C:
		}
	}
}

// seal seals every job that was released and is not sealed.
func (s *sealer) seal(ctx context.Context) error {
	view := s.f.Folded.View(ctx)
	for _, one := range view.Summaries(sealAtOnce, record.HandedBack) {
		j := view.Job(one.Job)
		if j == nil || j.Released == nil || j.Sealed != nil {
			continue
		}
		seal, err := s.over(ctx, j)
		if err != nil {
			return err
		}
		e, err := s.hub.Append(ctx, journal.Draft{Subject: journal.About(j.ID, "", ""), By: "hub", Data: seal})
		if e == nil {
			return err
		}
		if err != nil { // the job is sealed; the next one may be yet
			s.logger.WarnContext(ctx, "after a record was sealed", "entry", e.ID, "error", err)
		}
	}
	return view.Err()
}

// over makes the seal of a job's entries in the order of replay, those of the
// runs that its parts took part in among them.
func (s *sealer) over(ctx context.Context, j *record.Job) (*journal.Seal, error) {
	var covered []journal.Position
	for _, l := range j.Timeline() {
		covered = append(covered, l.Position())
	}
	logged, err := s.f.Log.Pick(ctx, covered)
	if err != nil {
		return nil, err
	}
	bytes := make(map[journal.Position][]byte, len(logged))
	for _, e := range logged {
		bytes[e.Position] = e.Bytes
	}
	var entries [][]byte
	for _, at := range covered {
		e, here := bytes[at]
		if !here {
			return nil, fmt.Errorf("%w: entry %d of log %s", shop.ErrGone, at.Index, at.Device)
		}
		entries = append(entries, e)
	}
	return &journal.Seal{Root: proof.Seal(entries), Entries: len(entries), Covers: journal.Stretches(covered)}, nil
}
