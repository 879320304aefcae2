package order_test

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"

	"pgregory.net/rapid"
)

// written is an entry of the simulated shop.
type written struct {
	order.Entry
	hash, root [32]byte
	step       int // when it was truly written
	honest     bool
	held, saw  map[journal.DeviceID]int64    // by an honest writer: held, and closed
	beyond     map[journal.DeviceID][32]byte // the roots of what was held
}

// machine holds logs, one of them its own.
type machine struct {
	name  journal.DeviceID
	logs  map[journal.DeviceID][]*written
	front *order.Front
	clock int64 // milliseconds that its wall clock is off
	old   bool  // runs a program that carries no after
}

func (m *machine) RootAt(_ context.Context, device journal.DeviceID, size int64) ([32]byte, error) {
	if size < 1 || size > int64(len(m.logs[device])) {
		return [32]byte{}, fmt.Errorf("the root of %s at %d was asked for and %d are here", device, size, len(m.logs[device]))
	}
	return m.logs[device][size-1].root, nil
}

// take takes an entry in.
func (m *machine) take(w *written) {
	m.logs[w.Device] = append(m.logs[w.Device], w)
	if err := m.front.Add(w.Entry); err != nil {
		panic(err)
	}
	if err := m.front.Grow(context.Background(), w.Device, func(order.Entry) error { return nil }); err != nil {
		panic(err)
	}
}

// restore takes the machine back to a state in which it held so much.
func (m *machine) restore(logs map[journal.DeviceID][]*written) {
	m.logs, m.front = make(map[journal.DeviceID][]*written), order.NewFront(m)
	for _, d := range slices.Sorted(maps.Keys(logs)) {
		for _, w := range logs[d] {
			m.take(w)
		}
	}
}

func (m *machine) copyLogs() map[journal.DeviceID][]*written {
	c := make(map[journal.DeviceID][]*written)
	for d, l := range m.logs {
		c[d] = slices.Clone(l)
	}
	return c
}

// cite says what an honest writer cites.
func (m *machine) cite() journal.After {
	var a journal.After
	for _, d := range m.front.Devices() {
		if n := m.front.Closed(d); d != m.name && n > 0 {
			root := m.logs[d][n-1].root
			a = append(a, journal.Prefix{Device: d, Size: n, Root: [16]byte(root[:16])})
		}
	}
	return a
}

// shop is three tablets, a hub and a liar, and all that they ever wrote.
type shop struct {
	machines []*machine
	step     int
	all      []*written
	lost     map[journal.DeviceID]int64 // last common size of a forked log
}

var devices = []journal.DeviceID{"bench-1", "bench-2", "bench-3", "hub", "liar"}

const liar = "liar"

func newShop(t *rapid.T) *shop {
	s := &shop{lost: map[journal.DeviceID]int64{}}
	for _, d := range devices {
		m := &machine{name: d, clock: rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, "clock")}
		m.restore(nil)
		s.machines = append(s.machines, m)
	}
	s.machines[2].old = rapid.IntRange(0, 3).Draw(t, "old program") == 0
	return s
}

// write has a machine write an entry.
func (s *shop) write(t *rapid.T, m *machine) {
	s.step++
	own := m.logs[m.name]
	millis := max(0, 2_000_000+int64(s.step)*1000+m.clock)
	w := &written{step: s.step, honest: m.name != liar, held: map[journal.DeviceID]int64{}, saw: map[journal.DeviceID]int64{}, beyond: map[journal.DeviceID][32]byte{}}
	w.Position = journal.Position{Device: m.name, Index: int64(len(own))}
	w.ID = idAt(millis, byte(s.step))
	switch {
	case m.name == liar:
		w.After = lie(t, m)
	case !m.old:
		w.After = m.cite()
	}
	var before [32]byte
	if n := len(own); n > 0 {
		before = own[n-1].root
		if last := own[n-1].ID; w.honest && slices.Compare(last[:], w.ID[:]) >= 0 {
			w.ID = idAt(last.Millis()+1, byte(s.step)) // a device's own ids rise
		}
	}
	for d, l := range m.logs {
		if len(l) > 0 {
			w.held[d], w.saw[d], w.beyond[d] = int64(len(l)), m.front.Closed(d), l[len(l)-1].root
		}
	}
	w.hash = sha256.Sum256(fmt.Append(nil, w.ID, w.After, w.step))
	w.root = sha256.Sum256(append(before[:], w.hash[:]...))
	s.all = append(s.all, w)
	m.take(w)
}

func idAt(millis int64, tie byte) (id journal.EntryID) {
	for i := range 6 {
		id[i] = byte(millis >> (40 - 8*i))
	}
	id[6], id[8], id[15] = 0x70, 0x80, tie
	return id
}

// lie draws what a liar cites: what is true, less of it, more than there is,
// other roots, itself, and strangers.
func lie(t *rapid.T, m *machine) journal.After {
	var a journal.After
	for _, d := range append([]journal.DeviceID{"stranger"}, devices...) {
		n := int64(len(m.logs[d]))
		p := journal.Prefix{Device: d, Size: n}
		fit := func(size int64) {
			if p.Size = size; size > 0 {
				root := m.logs[d][size-1].root
				p.Root = [16]byte(root[:16])
			}
		}
		what := rapid.IntRange(0, 29).Draw(t, "lie")
		switch {
		case d == "stranger" && what > 0, d == m.name && what > 1, what > 27: // left out
		case what == 0:
			p.Size = n + rapid.Int64Range(1, 3).Draw(t, "beyond")
			a = append(a, p)
		case what == 1:
			if n > 0 {
				a = append(a, p) // with a root of nothing
			}
		case what < 12:
			if fit(rapid.Int64Range(0, n).Draw(t, "fallen")); p.Size > 0 {
				a = append(a, p)
			}
		default:
			if fit(n); n > 0 {
				a = append(a, p)
			}
		}
	}
	slices.SortFunc(a, func(x, y journal.Prefix) int { return cmp.Compare(x.Device, y.Device) })
	return a
}

// carry brings some entries of a log from one machine to another, unless their
// histories of it differ.
func carry(t *rapid.T, from, to *machine, device journal.DeviceID) {
	theirs, here := from.logs[device], to.logs[device]
	n := len(here)
	if n >= len(theirs) || n > 0 && theirs[n-1] != here[n-1] {
		return
	}
	for _, w := range theirs[n : n+rapid.IntRange(1, len(theirs)-n).Draw(t, "carried")] {
		to.take(w)
	}
}

// play lets the shop work for a while: entries, the network, now and then a
// tablet that is restored from an older copy and writes on.
func (s *shop) play(t *rapid.T) {
	one := rapid.SampledFrom(s.machines)
	var copied map[journal.DeviceID][]*written
	for range rapid.IntRange(30, 90).Draw(t, "steps") {
		switch what := rapid.IntRange(0, 19).Draw(t, "what"); {
		case what < 8:
			s.write(t, one.Draw(t, "writer"))
		case what < 11:
			from, to := one.Draw(t, "from"), one.Draw(t, "to")
			for _, d := range devices {
				carry(t, from, to, d)
			}
		case what < 18:
			carry(t, one.Draw(t, "from"), one.Draw(t, "to"), rapid.SampledFrom(devices).Draw(t, "log"))
		case copied == nil:
			copied = s.machines[1].copyLogs()
		default:
			m := s.machines[1]
			m.restore(copied)
			common := int64(len(m.logs[m.name]))
			if before, forked := s.lost[m.name]; forked {
				common = min(common, before)
			}
			s.lost[m.name] = common
			copied = nil
			s.write(t, m)
		}
	}
}
