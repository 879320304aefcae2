package order

import (
	"context"
	"errors"
	"math"

	"fettlebook/journal"
)

// Store keeps the standings that were worked out. Keep is called once for each
// entry that counts, after all entries of its past.
type Store interface {
	Standing(ctx context.Context, at journal.Position) (Standing, error)
	Keep(ctx context.Context, at journal.Position, s Standing) error
}

// Keeper works out the standing of every entry as logs grow. It is not safe
// for concurrent use.
type Keeper struct {
	front *Front
	store Store
	tops  map[journal.DeviceID]*Standing // of the last closed entry of each log
	must  map[journal.DeviceID]int64     // from which entry on logs carry after, by the register
}

// New returns a keeper over no logs.
func New(roots Roots, store Store) *Keeper {
	return &Keeper{
		front: NewFront(roots), store: store,
		tops: make(map[journal.DeviceID]*Standing), must: make(map[journal.DeviceID]int64),
	}
}

// Resume says that the standings of the first entries of a log are in the
// store. All further ones are to be added, also those that waited.
func (k *Keeper) Resume(device journal.DeviceID, worked int64) { k.front.Resume(device, worked) }

// Close says that the register counts only so many entries of a log: it was
// revoked, or forked there. It reports whether standings that are worked out
// may be others now, so that all must be worked out anew, with the closing
// said before. Otherwise [Keeper.Grow] finds what need not wait any more.
func (k *Keeper) Close(device journal.DeviceID, counts int64) (anew bool) {
	return k.front.Close(device, counts)
}

// Part says that the register knows another history of a log, which goes on
// here behind what both have; see [Front.Part]. What is worked out stays so.
func (k *Keeper) Part(device journal.DeviceID, common int64) { k.front.Part(device, common) }

// Note says that by the register a log carries after from an entry on, so
// that ids decide nothing there. It reports whether standings that are worked
// out are others now, so that all must be worked out anew, with this said
// before.
func (k *Keeper) Note(ctx context.Context, device journal.DeviceID, from int64) (anew bool, err error) {
	if before, ok := k.must[device]; ok && before <= from {
		return false, nil
	}
	k.must[device] = from
	if k.front.Closed(device) <= from {
		return false, nil
	}
	s, err := k.store.Standing(ctx, journal.Position{Device: device, Index: from})
	return s.Old, err
}

// Add takes in the next entry of a log.
func (k *Keeper) Add(e Entry) error { return k.front.Add(e) }

// Grow works out what counts now that a log has grown, of all logs, and hands
// it to the store.
func (k *Keeper) Grow(ctx context.Context, device journal.DeviceID) error {
	return k.front.Grow(ctx, device, func(e Entry) error { return k.place(ctx, e) })
}

// Devices returns the devices whose logs are here, sorted.
func (k *Keeper) Devices() []journal.DeviceID { return k.front.Devices() }

// place works out the standing of an entry whose past is worked out, and
// keeps it.
func (k *Keeper) place(ctx context.Context, e Entry) error {
	s, err := k.stand(ctx, e)
	if err != nil {
		return err
	}
	if err := k.store.Keep(ctx, e.Position, s); err != nil {
		return err
	}
	k.tops[e.Device] = &s
	return nil
}

// Suppose returns how the next entries of a log would stand, which are written together:
// each sees what the first one sees, and those before it.
func (k *Keeper) Suppose(ctx context.Context, next ...Entry) (list []Standing, err error) {
	for i, e := range next {
		var s Standing
		if i == 0 {
			s, err = k.suppose(ctx, e)
		} else {
			s = list[i-1]
			s.Place = max(s.Place+1, e.ID.Bits())
		}
		if err != nil {
			return nil, err
		}
		list = append(list, s)
	}
	return list, nil
}

// suppose returns how the next entry of a log would stand.
func (k *Keeper) suppose(ctx context.Context, e Entry) (Standing, error) {
	l := k.front.log(e.Device)
	if e.Index != l.closed || len(l.rest) > 0 {
		s, err := k.own(ctx, journal.Position{Device: e.Device, Index: l.closed})
		s.Place, s.Wait = max(s.Place, e.ID.Bits()), &Wait{HeldUp, e.Device, e.Index}
		if e.Index >= l.counts {
			s.Wait = &Wait{Closed, e.Device, l.counts}
		}
		return s, err
	}
	wait, err := k.front.missing(ctx, l, e)
	if err == nil && wait == nil {
		return k.stand(ctx, e)
	}
	s, err2 := k.own(ctx, e.Position)
	s.Place, s.Wait = max(s.Place, e.ID.Bits()), wait
	return s, errors.Join(err, err2)
}

// stand works out the standing of an entry whose past is worked out.
func (k *Keeper) stand(ctx context.Context, e Entry) (Standing, error) {
	s, err := k.own(ctx, e.Position)
	if err != nil {
		return s, err
	}
	s.Place = max(s.Place, e.ID.Bits())
	if must, ok := k.must[e.Device]; len(e.After) > 0 || ok && e.Index >= must {
		s.Old = false
	}
	for _, c := range e.After {
		size := min(c.Size, k.front.log(c.Device).counts)
		if c.Device == e.Device || s.Past.Of(c.Device) >= size {
			continue // it is in the past already, with its own past
		}
		if k.front.log(c.Device).parts < size { // or else what was cited is here, or it would wait
			if size, _, err = k.front.seen(ctx, c); err != nil {
				return s, err
			}
			if s.Past.Of(c.Device) >= size {
				continue
			}
		}
		cited, err := k.at(ctx, c.Device, size-1)
		if err != nil {
			return s, err
		}
		s.Place = max(s.Place, cited.Place+1)
		s.Past = join(e.Device, s.Past, cited.Past, Count{c.Device, size})
	}
	return s, nil
}

// own is how an entry stands by its own log alone, whatever its id.
func (k *Keeper) own(ctx context.Context, at journal.Position) (Standing, error) {
	if at.Index == 0 {
		return Standing{Old: true}, nil
	}
	s, err := k.at(ctx, at.Device, at.Index-1)
	s.Place++
	return s, err
}

// at returns a standing that is worked out.
func (k *Keeper) at(ctx context.Context, device journal.DeviceID, index int64) (Standing, error) {
	if top := k.tops[device]; top != nil && k.front.Closed(device) == index+1 {
		return *top, nil
	}
	return k.store.Standing(ctx, journal.Position{Device: device, Index: index})
}

// Waiting is an entry that counts for nothing yet.
type Waiting struct {
	Entry
	Standing
}

// Waiting returns the entries of a log that are here and count for nothing
// yet, with the standing that they would have if they had seen nothing but
// their own log, and what they wait for.
func (k *Keeper) Waiting(ctx context.Context, device journal.DeviceID) ([]Waiting, error) {
	l := k.front.logs[device]
	if l == nil || len(l.rest) == 0 {
		return nil, nil
	}
	s, err := k.own(ctx, l.rest[0].Position)
	if err != nil {
		return nil, err
	}
	must, ok := k.must[device]
	if !ok {
		must = math.MaxInt64
	}
	list := make([]Waiting, len(l.rest))
	for i, e := range l.rest {
		s.Place = max(s.Place, e.ID.Bits())
		s.Old = s.Old && len(e.After) == 0 && e.Index < must
		s.Wait = &Wait{HeldUp, device, e.Index}
		switch {
		case e.Index >= l.counts:
			s.Wait = &Wait{Closed, device, l.counts}
		case i == 0:
			s.Wait = l.wait
		}
		list[i] = Waiting{Entry: e, Standing: s}
		s.Place++
	}
	return list, nil
}
