package demo

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/words"
)

// meet waits until the hub holds everything that the named tablets wrote,
// countersigned and with all originals, and they hold what the hub holds.
// It looks at what is on the disks and asks nobody.
func (d *Day) meet(ctx context.Context, names ...string) error {
	begin := d.cfg.Now()
	shelf, err := openShelf(ctx, d.hub.dir)
	if err != nil {
		return err
	}
	defer shelf.Close()
	// Twice: what the last tablet brought to the hub the first one lacks as yet.
	for _, name := range slices.Concat(names, names) {
		m, err := d.machine(name)
		if err != nil {
			return err
		}
		other, err := openShelf(ctx, m.dir)
		if err != nil {
			return err
		}
		err = m.until(ctx, "come in step with the hub", func() (bool, error) { return level(ctx, shelf, other) })
		if err := errors.Join(err, other.Close()); err != nil {
			return err
		}
	}
	d.say("%s are in step (after %.1f s)", words.And(append([]string{"the hub"}, names...)...), d.cfg.Now().Sub(begin).Seconds())
	return nil
}

// shelf is a machine's folder, open for reading beside its program.
type shelf struct {
	folder.Identity
	*sqlitelog.DB
}

func openShelf(ctx context.Context, dir string) (*shelf, error) {
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		return nil, err
	}
	db, err := sqlitelog.OpenToRead(ctx, folder.DatabasePath(dir))
	if err != nil {
		return nil, err
	}
	return &shelf{id, db}, nil
}

// level reports whether hub and tablet hold the same logs, the hub has
// countersigned the tablet's, and no original waits.
func level(ctx context.Context, hub, tablet *shelf) (bool, error) {
	here, err := reaches(ctx, hub)
	if err != nil {
		return false, err
	}
	there, err := reaches(ctx, tablet)
	if err != nil {
		return false, err
	}
	for device, size := range here {
		if there[device] != size {
			return false, nil
		}
	}
	if len(here) != len(there) {
		return false, nil
	}
	c, err := hub.LastCountersigned(ctx, tablet.Device)
	if err != nil || c.Size != there[tablet.Device] {
		return false, err
	}
	waiting, err := tablet.Unconfirmed(ctx)
	return len(waiting) == 0, err
}

func reaches(ctx context.Context, s *shelf) (map[journal.DeviceID]int64, error) {
	heads, err := s.Heads(ctx)
	if err != nil {
		return nil, fmt.Errorf("look at %s: %w", s.Name, err)
	}
	sizes := map[journal.DeviceID]int64{}
	for _, h := range heads {
		sizes[h.Device] = h.Size
	}
	return sizes, nil
}

// awaitSeal waits until the hub's log says that the record of a job is sealed,
// under the hub's signature.
func (d *Day) awaitSeal(ctx context.Context, job journal.JobID) error {
	hub, err := openShelf(ctx, d.hub.dir)
	if err != nil {
		return err
	}
	defer hub.Close()
	return d.hub.until(ctx, "seal the record", func() (bool, error) {
		for logged, err := range hub.Entries(ctx, hub.Device, 0) {
			if err != nil {
				return false, err
			}
			if e, err := journal.Decode(logged.Bytes); err == nil && e.Type.Kind == journal.RecordSealed && e.Subject.Job() == job {
				return !logged.Received.IsZero(), nil
			}
		}
		return false, nil
	})
}
