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
	read   map[journal.DeviceID]int64 // entries of each log that were looked at
}

// sealAgain is how long a seal that could not be written waits for another try.
const sealAgain = 5 * time.Second

// run looks again whenever something was written. What fails is tried again:
// a missing seal must not stop the hub.
func (s *sealer) run(ctx context.Context) error {
	woken := s.f.Log.Woken()
	again := time.NewTimer(0)
	defer again.Stop()
	select {
	case <-s.hub.Ready():
	case <-ctx.Done():
		return nil
	}
	due := true // a first look at everything, for what an earlier run left unsealed
	for {
		released, err := s.readOn(ctx)
		due = due || released
		if err == nil && due {
			err = s.seal(ctx)
			due = err != nil
		}
		if err != nil && ctx.Err() == nil {
			s.logger.WarnContext(ctx, "seal records", "error", err)
			again.Reset(sealAgain)
		}
		select {
		case <-ctx.Done():
			return nil
		case <-woken:
		case <-again.C:
		}
	}
}

// seal folds the shop and seals every job that was released and is not
// sealed. Releases are rare, so nothing is kept between two of them.
func (s *sealer) seal(ctx context.Context) error {
	shop, err := record.Fold(s.f.Authority(), s.f.Log.All(ctx))
	if err != nil {
		return err
	}
	for _, j := range shop.Jobs {
		if j.Released == nil || j.Sealed != nil {
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
	return nil
}

// readOn looks at what is new and reports whether a vehicle was released in it.
func (s *sealer) readOn(ctx context.Context) (released bool, err error) {
	heads, err := s.f.Log.Heads(ctx)
	if err != nil {
		return false, err
	}
	for _, h := range heads {
		if h.Size <= s.read[h.Device] {
			continue
		}
		for e, err := range s.f.Log.Entries(ctx, h.Device, s.read[h.Device]) {
			if err != nil {
				return released, err
			}
			s.read[h.Device] = e.Index + 1
			if entry, err := journal.Decode(e.Bytes); err == nil && entry.Type.Kind == journal.VehicleReleased {
				released = true
			}
		}
	}
	return released, nil
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
