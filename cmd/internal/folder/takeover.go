package folder

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/photodir"
)

// settle takes over what earlier logs of this machine hold and the register
// does not count, as far as it says by now how much counts. What is owed stays
// in shop.json until it is done, so whoever was interrupted goes on. A log that
// cannot be taken over stays owed and keeps no other waiting.
func (f *Folder) settle(ctx context.Context) error {
	f.owing.Lock()
	defer f.owing.Unlock()
	if len(f.Owed) == 0 {
		return nil
	}
	said, err := f.closings(ctx)
	if err != nil {
		return err
	}
	var rest []Owed
	var failed []error
	for _, o := range f.Owed {
		if n, ok := said.Counts(o.Device); ok {
			o.Counts, o.Branch = &n, said.Branch(o.Device) // later words count less
		}
		if o.Counts == nil {
			rest = append(rest, o)
			continue
		}
		haul, err := f.Log.TakeOver(ctx, f.Log, sqlitelog.Lost{Device: o.Device, From: *o.Counts, Branch: o.Branch}, false)
		f.Took.Taken, f.Took.Left, f.Took.Before = append(f.Took.Taken, haul.Taken...), append(f.Took.Left, haul.Left...), f.Took.Before+haul.Before
		switch {
		case errors.Is(err, journal.ErrClosed): // by whatever follows this log
			rest = append(rest, o)
		case err != nil && !errors.Is(err, journal.ErrNoLog):
			rest, failed = append(rest, o), append(failed, fmt.Errorf("take over the log of %s: %w", o.Device, err))
		}
	}
	if len(rest) == len(f.Owed) {
		return errors.Join(failed...)
	}
	id := f.Identity
	id.Owed = rest
	if err := WriteIdentity(f.Dir, id); err != nil {
		return errors.Join(append(failed, err)...)
	}
	f.Owed = rest
	return errors.Join(failed...)
}

// closings reads from the hub's log, as far as it is here, how much counts of
// each log that was closed.
func (f *Folder) closings(ctx context.Context) (said journal.Closings, err error) {
	var closing [][]byte // the names of kinds: most entries need not be decoded
	for k := range journal.Kinds() {
		if k.Closes() {
			closing = append(closing, []byte(k))
		}
	}
	for l, err := range f.Log.Entries(ctx, f.Hub, 0) {
		if err != nil {
			return said, err
		}
		if !slices.ContainsFunc(closing, func(name []byte) bool { return bytes.Contains(l.Bytes, name) }) {
			continue
		}
		e, err := journal.Decode(l.Bytes)
		if err != nil || f.Authority().Voids(e, l.Device, l.Falls) != "" {
			continue
		}
		if p, err := e.Payload(); err == nil { // else of a newer program
			said.Read(p)
		}
	}
	return said, nil
}

// Salvage is what of another folder's logs counts no more, and can be taken
// over.
type Salvage struct {
	Device journal.DeviceID
	Name   string
	sqlitelog.Haul
	// Open says that the device may still write: what is not here yet comes by
	// itself, or counts once the device was revoked.
	Open bool
}

// Salvage takes over, at the hub, what the logs in a database hold of devices
// that the register closed; when dry, it only lists it. originals are those
// beside the database, nil for none.
func (f *Folder) Salvage(ctx context.Context, from *sqlitelog.DB, originals *photodir.Dir, dry bool) ([]Salvage, error) {
	said, err := f.closings(ctx)
	if err != nil {
		return nil, err
	}
	heads, err := from.Heads(ctx)
	if err != nil {
		return nil, err
	}
	names, revoked, err := f.devices(ctx)
	if err != nil {
		return nil, err
	}
	var list []Salvage
	for _, h := range heads {
		if h.Device == f.Device {
			continue
		}
		own, err := f.Log.Head(ctx, h.Device)
		if err != nil {
			return nil, err
		}
		counts, closed := said.Counts(h.Device)
		if !closed {
			counts = own.Size
		}
		one := Salvage{Device: h.Device, Name: names[h.Device], Open: !closed && !slices.Contains(revoked, h.Device)}
		if h.Size <= counts || names[h.Device] == "" {
			continue
		}
		if !one.Open {
			lost := sqlitelog.Lost{Device: h.Device, From: counts, Branch: said.Branch(h.Device)}
			one.Haul, err = f.Log.TakeOver(ctx, from, lost, true)
			if err == nil && !dry { // originals first, so that none is forgotten
				if err = f.keep(ctx, originals, one.Taken); err == nil {
					one.Haul, err = f.Log.TakeOver(ctx, from, lost, false)
				}
			}
			if err != nil {
				return list, err
			}
		}
		list = append(list, one)
	}
	return list, nil
}

// devices returns the devices that the register names, and which of them it
// revoked.
func (f *Folder) devices(ctx context.Context) (names map[journal.DeviceID]string, revoked []journal.DeviceID, err error) {
	if err := f.Folded.Follow(ctx); err != nil {
		return nil, nil, err
	}
	v := f.Folded.View(ctx)
	names = make(map[journal.DeviceID]string)
	for _, d := range v.Shop.Devices {
		if d.Stated != nil {
			names[d.ID] = d.Stated.Name
		}
		if d.Revoked {
			revoked = append(revoked, d.ID)
		}
	}
	return names, revoked, v.Err()
}

// keep copies the originals of entries that were taken over, as far as they
// lie beside the log.
func (f *Folder) keep(ctx context.Context, from *photodir.Dir, entries []*journal.Entry) error {
	if from == nil {
		return nil
	}
	for _, e := range entries {
		photos, err := e.Photos()
		if err != nil {
			return err
		}
		for _, p := range photos {
			if err := f.copy(ctx, from, p.Ref); err != nil {
				return fmt.Errorf("copy original %s: %w", p.Ref, err)
			}
		}
	}
	return nil
}

func (f *Folder) copy(ctx context.Context, from *photodir.Dir, ref media.Ref) error {
	if here, err := f.Photos.Has(ctx, ref); err != nil || here {
		return err
	}
	in, _, err := from.Open(ctx, ref)
	if errors.Is(err, media.ErrNotHere) {
		return nil
	}
	if err != nil {
		return err
	}
	defer in.Close()
	_, err = media.Receive(ctx, f.Photos, in, f.limits)
	return err
}
