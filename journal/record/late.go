package record

import (
	"cmp"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"
)

// Late folds what the book holds in another order that is as true: every entry
// of one device's log comes after everything that had not seen it. Whatever
// counts only if something came last must count in this order too, for every
// device, or it is in doubt. It reports false if the order is the same, and
// then folds nothing.
//
// Sorted by how many of the log's entries each entry had seen, all that knew
// nothing of an entry comes before it, and whoever had seen it after it, with
// whatever they had seen in turn.
func (b *Book) Late(device journal.DeviceID) (*Shop, bool) {
	b.sort()
	keys := make(map[*held]int64, len(b.held))
	olds := oldOnes(b.held)
	for _, h := range b.held {
		if h.entry != nil {
			keys[h] = seen(h.stands, device, olds)
		}
	}
	late := slices.Clone(b.held)
	slices.SortStableFunc(late, func(x, y *held) int {
		if x.entry == nil || y.entry == nil {
			return compareBool(x.entry == nil, y.entry == nil)
		}
		return cmp.Or(cmp.Compare(keys[x], keys[y]), compareBool(x.stands.Device == device, y.stands.Device == device))
	})
	if slices.Equal(late, b.held) {
		return nil, false
	}
	return (&Book{held: late, sorted: true, register: b.register}).Shop(), true
}

// oldOnes returns of each log the entries that ids decide about, in the log's
// order.
func oldOnes(list []*held) map[journal.DeviceID][]*order.Placed {
	olds := make(map[journal.DeviceID][]*order.Placed)
	for _, h := range list {
		if h.entry != nil && h.stands.Old {
			olds[h.stands.Device] = append(olds[h.stands.Device], h.stands)
		}
	}
	for _, l := range olds {
		slices.SortFunc(l, func(a, b *order.Placed) int { return cmp.Compare(a.Index, b.Index) })
	}
	return olds
}

// seen returns how many entries of a log must come before an entry: those that
// its writer had seen, and those that ids put before it or before what its
// writer had seen.
func seen(p *order.Placed, device journal.DeviceID, olds map[journal.DeviceID][]*order.Placed) int64 {
	if p.Device == device {
		return p.Index
	}
	n := p.Past.Of(device)
	for of, list := range olds {
		if of == device {
			continue
		}
		last, _ := slices.BinarySearchFunc(list, p, func(o, p *order.Placed) int {
			if o.Position == p.Position || p.Saw(o.Position) {
				return -1
			}
			return 1
		})
		if last == 0 {
			continue
		}
		before, _ := slices.BinarySearchFunc(olds[device], list[last-1], (*order.Placed).Compare)
		if before > 0 {
			n = max(n, olds[device][before-1].Index+1)
		}
	}
	return n
}
