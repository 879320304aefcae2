package record

import (
	"cmp"
	"iter"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"
)

// Late is the book in another order that is as true: every entry of one
// device's log comes after everything that had not seen it. Whatever counts
// only if something came last must count in this order too, for every device,
// or it is in doubt. It reports false if the order is the same. The late book
// is for folding only; nothing can be added to it.
//
// Sorted by how many of the log's entries each entry had seen, all that knew
// nothing of an entry comes before it, and whoever had seen it after it, with
// whatever they had seen in turn.
//
// What was taken over has seen nothing: it comes before all else, the last of
// it first. In an order of its own it comes as late as it can.
func (b *Book) Late(device journal.DeviceID) (*Book, bool) { return b.lateLane(lane{of: device}) }

func (b *Book) lateLane(in lane) (*Book, bool) {
	b.sort()
	keys := make(map[*held]late, len(b.held))
	olds := oldOnes(b.held)
	for _, h := range b.held {
		if h.entry != nil {
			keys[h] = lateIn(h.stands, in, olds)
		}
	}
	list := slices.Clone(b.held)
	slices.SortStableFunc(list, func(x, y *held) int {
		if x.entry == nil || y.entry == nil {
			return compareBool(x.entry == nil, y.entry == nil)
		}
		return compareLate(x.stands, y.stands, keys[x], keys[y])
	})
	return &Book{held: list, sorted: true, register: b.register, by: b.by, late: keys}, !slices.Equal(spoken(list), spoken(b.held))
}

// spoken leaves out what says nothing that hangs on an order: readings of
// clocks, and what counts for nothing.
func spoken(list []*held) []*held {
	var out []*held
	for _, h := range list {
		if h.payload == nil || h.stands.Wait != nil {
			continue
		}
		if _, clock := h.payload.(*journal.ClockReading); !clock {
			out = append(out, h)
		}
	}
	return out
}

// Lates yields the book in every other order that has to be asked: that in
// which one device's log comes late, for each device of which that is another
// order than that of replay. Where every writer had seen the entry before,
// there is none.
//
// Of a book that is folded within a register, a device is asked too that
// checked one of its tools without knowing of a use, or that put a person on it
// without knowing of a second look: a shop of one may be one of two.
func (b *Book) Lates(register *Shop) iter.Seq[*Book] {
	return func(yield func(*Book) bool) {
		b.sort()
		list := spoken(b.held)
		asked := unheard(list, register)
		if len(asked) == 0 && chained(list) {
			return
		}
		lanes := maps.Clone(asked)
		for _, h := range list {
			lanes[laneOf(h.stands)] = true
			lanes[lane{of: h.stands.Device}] = true // in which what was taken over comes first
		}
		for _, in := range slices.SortedFunc(maps.Keys(lanes), lane.compare) {
			if late, differs := b.lateLane(in); (differs || asked[in]) && !yield(late) {
				return
			}
		}
	}
}

// chained reports whether there is only one order: each writer had seen the
// entry before.
func chained(list []*held) bool {
	for i := range list[:max(0, len(list)-1)] {
		if list[i].stands.Relation(list[i+1].stands) != order.Before {
			return false
		}
	}
	return true
}

// unheard returns who wrote of a register, and who of what rests on it, without
// knowing of each other: checks of tools and uses of them, people and second
// looks.
func unheard(list []*held, register *Shop) map[lane]bool {
	lanes := make(map[lane]bool)
	if register == nil {
		return lanes
	}
	tools := make(map[journal.Subject][]*Line)
	for _, t := range register.Tools {
		tools[journal.Of("tool", string(t.ID))] = t.Lines
	}
	ask := func(h *held, lines []*Line, says func(journal.Payload) bool) {
		for _, l := range lines {
			if says(l.Effect()) && l.stands.Relation(h.stands) == order.Unknown {
				lanes[laneOf(l.stands)], lanes[laneOf(h.stands)] = true, true
			}
		}
	}
	for _, h := range list {
		for _, u := range journal.Uses(h.payload) {
			ask(h, tools[u.Of], is[*journal.ToolCheck])
		}
		if is[*journal.SecondCheck](h.payload) {
			for _, p := range register.People {
				ask(h, p.Lines, func(d journal.Payload) bool { return is[*journal.Person](d) || is[*journal.Retirement](d) })
			}
		}
	}
	return lanes
}

func is[P journal.Payload](d journal.Payload) bool { _, ok := d.(P); return ok }

// late says how many entries of a device's log come before an entry, in the
// order in which that log comes as late as it can; foremost is before all.
type late struct {
	lane
	n int64
}

const foremost = -1

// lateIn is where an entry comes in the order in which a lane comes late.
func lateIn(p *order.Placed, in lane, olds map[journal.DeviceID][]*order.Placed) late {
	if p.Quoted && laneOf(p) != in {
		return late{in, foremost}
	}
	return late{in, seen(p, in.of, olds)}
}

// compareLate is the late order of a device's log. What has no number of its
// own, since it was folded elsewhere, has that of what its writer had seen.
func compareLate(a, b *order.Placed, x, y late) int {
	switch {
	case x.of == "" && y.of == "", (x.of == "" || y.of == "") && a.Old && b.Old:
		return a.Compare(b)
	case x.of == "":
		x = lateIn(a, y.lane, nil)
	case y.of == "":
		y = lateIn(b, x.lane, nil)
	}
	if x.n == foremost && y.n == foremost {
		return b.Compare(a)
	}
	return cmp.Or(cmp.Compare(x.n, y.n), compareBool(laneOf(a) == x.lane, laneOf(b) == x.lane), a.Compare(b))
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
