package main

import (
	"context"
	"log/slog"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
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
		entries, err := s.entries(ctx, j)
		if err != nil {
			return err
		}
		_, err = s.hub.Append(ctx, journal.Draft{Subject: journal.About(j.ID, "", ""), By: "hub",
			Data: &journal.Seal{Root: proof.Seal(entries), Entries: len(entries)}})
		if err != nil {
			return err
		}
	}
	return view.Err()
}

// entries reads the bytes of a job's entries in the order of replay, those of
// the runs that its parts took part in among them.
func (s *sealer) entries(ctx context.Context, j *record.Job) ([][]byte, error) {
	var list [][]byte
	for _, line := range j.Timeline() {
		at := line.Position()
		for e, err := range s.f.Log.Entries(ctx, at.Device, at.Index) {
			if err != nil {
				return nil, err
			}
			list = append(list, e.Bytes)
			break
		}
	}
	return list, nil
}
