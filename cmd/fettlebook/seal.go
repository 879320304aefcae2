package main

import (
	"context"
	"fmt"

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
	f    *folder.Folder
	hub  *hub.Hub
	book *record.Book
	read map[journal.DeviceID]int64 // entries of each log that are in the book
}

// run looks again whenever something was written.
func (s *sealer) run(ctx context.Context) error {
	woken := s.f.Log.Woken()
	select {
	case <-s.hub.Ready():
	case <-ctx.Done():
		return nil
	}
	for {
		if err := s.seal(ctx); err != nil && ctx.Err() == nil {
			return fmt.Errorf("seal records: %w", err)
		}
		select {
		case <-ctx.Done():
			return nil
		case <-woken:
		}
	}
}

// seal reads on and seals what was released.
func (s *sealer) seal(ctx context.Context) error {
	released, err := s.readOn(ctx)
	if err != nil || !released {
		return err
	}
	for _, j := range s.book.Shop().Jobs {
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

// readOn adds what is new to the book and reports whether a vehicle was
// released in it.
func (s *sealer) readOn(ctx context.Context) (released bool, err error) {
	heads, err := s.f.Log.Heads(ctx)
	if err != nil {
		return false, err
	}
	for _, h := range heads {
		for e, err := range s.f.Log.Entries(ctx, h.Device, s.read[h.Device]) {
			if err != nil {
				return false, err
			}
			s.read[h.Device] = e.Index + 1
			s.book.Add(e)
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
		for e, err := range s.f.Log.Entries(ctx, line.Device, line.Index) {
			if err != nil {
				return nil, err
			}
			list = append(list, e.Bytes)
			break
		}
	}
	return list, nil
}
