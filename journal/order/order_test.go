package order_test

import (
	"context"
	"maps"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/order"

	"pgregory.net/rapid"
)

// kept is a store in memory.
type kept map[journal.Position]order.Standing

func (k kept) Standing(_ context.Context, at journal.Position) (order.Standing, error) {
	return k[at], nil
}

// Keep holds the keeper to its word: each once, and as the store returns it.
func (k kept) Keep(_ context.Context, at journal.Position, s order.Standing) error {
	if _, twice := k[at]; twice {
		panic("a standing was worked out twice")
	}
	raw, err := s.MarshalBinary()
	if err != nil {
		return err
	}
	var again order.Standing
	if err := again.UnmarshalBinary(raw); err != nil {
		return err
	}
	k[at] = again
	return nil
}

// final is what everybody holds in the end: of a log with two histories one
// of them.
func (s *shop) final() *machine {
	m := &machine{name: "everybody", logs: make(map[journal.DeviceID][]*written)}
	for _, d := range devices {
		for _, from := range s.machines {
			if l := from.logs[d]; len(l) > len(m.logs[d]) {
				m.logs[d] = l
			}
		}
	}
	return m
}

// worked works the logs out in an order of arrival of chance, with the
// program started anew now and then, and closings that are said at any time.
func (s *shop) worked(t *rapid.T, m *machine) (kept, *order.Keeper) {
	store := make(kept)
	k := order.New(m, store)
	next := make(map[journal.DeviceID]int)
	closed := make(map[journal.DeviceID]int64)
	anew := func() {
		clear(store)
		k = order.New(m, store)
		for d, n := range closed {
			k.Close(d, n)
		}
		for d, n := range next {
			for _, w := range m.logs[d][:n] {
				must(k.Add(w.Entry))
			}
			if rapid.Bool().Draw(t, "grown at once") {
				must(k.Grow(t.Context(), d))
			}
		}
	}
	add := func(d journal.DeviceID, n int) {
		for range n {
			must(k.Add(m.logs[d][next[d]].Entry))
			next[d]++
		}
		must(k.Grow(t.Context(), d))
	}
	close := func(d journal.DeviceID) {
		closed[d] = s.lost[d]
		if k.Close(d, s.lost[d]) {
			anew()
		}
		must(k.Grow(t.Context(), d))
	}
	for range rapid.IntRange(0, 40).Draw(t, "arrivals") {
		d := rapid.SampledFrom(devices).Draw(t, "arrives")
		if n := len(m.logs[d]) - next[d]; n > 0 {
			add(d, rapid.IntRange(1, n).Draw(t, "arriving"))
		}
		_, forked := s.lost[d]
		if _, done := closed[d]; forked && !done && rapid.Bool().Draw(t, "closed now") {
			close(d)
		}
		if rapid.IntRange(0, 9).Draw(t, "started") == 0 {
			k = restarted(k, m, store, next, closed)
		}
	}
	for _, d := range devices {
		add(d, len(m.logs[d])-next[d])
		if _, forked := s.lost[d]; forked && closed[d] == 0 {
			close(d)
		}
	}
	for _, d := range devices {
		must(k.Grow(t.Context(), d))
	}
	return store, k
}

// restarted is a keeper that goes on from the store.
func restarted(old *order.Keeper, m *machine, store kept, next map[journal.DeviceID]int, closed map[journal.DeviceID]int64) *order.Keeper {
	k := order.New(m, store)
	for d, n := range closed {
		k.Close(d, n)
	}
	for d := range next {
		k.Resume(d, old.Worked(d))
	}
	for d, n := range next {
		for _, w := range m.logs[d][old.Worked(d):n] {
			must(k.Add(w.Entry))
		}
		must(k.Grow(context.Background(), d))
	}
	return k
}

func must(err error) {
	if err != nil {
		panic(err)
	}
}

// plainly works the standings out by the words of the rule: pasts as whole
// sets, the largest place of all of them, until nothing more is found.
func (s *shop) plainly(m *machine) kept {
	pasts := make(map[journal.Position]map[journal.Position]bool)
	places := make(map[journal.Position]uint64)
	found := make(kept)
	counts := func(d journal.DeviceID, n int64) int64 {
		if most, forked := s.lost[d]; forked {
			return min(n, most)
		}
		return n
	}
	try := func(w *written) bool {
		past := make(map[journal.Position]bool)
		see := func(d journal.DeviceID, n int64) bool {
			for i := range n {
				at := journal.Position{Device: d, Index: i}
				if _, ok := places[at]; !ok {
					return false
				}
				past[at] = true
				maps.Copy(past, pasts[at])
			}
			return true
		}
		if w.Index >= counts(w.Device, w.Index+1) || !see(w.Device, w.Index) {
			return false
		}
		for _, c := range w.After {
			n := counts(c.Device, c.Size)
			if !see(c.Device, n) || n == c.Size && !c.Fits(m.logs[c.Device][n-1].root) {
				return false
			}
		}
		place := w.ID.Bits()
		sizes := make(map[journal.DeviceID]int64)
		for at := range past {
			place = max(place, places[at]+1)
			sizes[at.Device] = max(sizes[at.Device], at.Index+1)
		}
		delete(sizes, w.Device)
		st := order.Standing{Place: place, Old: !slices.ContainsFunc(m.logs[w.Device][:w.Index+1], func(w *written) bool { return len(w.After) > 0 })}
		for _, d := range slices.Sorted(maps.Keys(sizes)) {
			st.Past = append(st.Past, order.Count{Device: d, Size: sizes[d]})
		}
		pasts[w.Position], places[w.Position], found[w.Position] = past, place, st
		return true
	}
	for more := true; more; {
		more = false
		for _, d := range devices {
			for _, w := range m.logs[d] {
				if _, done := places[w.Position]; !done && try(w) {
					more = true
				}
			}
		}
	}
	return found
}

func equal(a, b order.Standing) bool {
	return a.Place == b.Place && a.Old == b.Old && a.Wait == nil && b.Wait == nil && slices.Equal(a.Past, b.Past)
}

// Whatever arrives first, however often the program is started, and whatever
// a liar writes: the standings are those of the plain rule.
func TestEveryMachineWorksOutTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		s.play(t)
		m := s.final()
		want := s.plainly(m)
		for range 3 {
			got, k := s.worked(t, m)
			if len(got) != len(want) {
				t.Fatalf("%d standings, want %d", len(got), len(want))
			}
			for at, w := range want {
				if !equal(got[at], w) {
					t.Fatalf("%v stands %+v, want %+v", at, got[at], w)
				}
			}
			for _, d := range devices {
				list, err := k.Waiting(t.Context(), d)
				if err != nil {
					t.Fatal(err)
				}
				if int(k.Worked(d))+len(list) != len(m.logs[d]) {
					t.Fatalf("of log %s %d count and %d wait, of %d", d, k.Worked(d), len(list), len(m.logs[d]))
				}
				for _, w := range list {
					if w.Wait == nil || want[w.Position].Place != 0 {
						t.Fatalf("%v waits without a reason", w.Position)
					}
				}
			}
		}
	})
}

// What a writer had seen stands before its entry and is known to; nobody knows
// what came later, not even a liar, unless the log has two histories and the
// liar guesses that it will: no root is held against what is cited beyond the
// last common entry. No honest entry waits when all is here.
func TestSeenIsBeforeAndNeverLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		s.play(t)
		m := s.final()
		standings := s.plainly(m)
		var all []*order.Placed
		steps := make(map[journal.Position]int)
		for _, d := range devices {
			for _, w := range m.logs[d] {
				if st, ok := standings[w.Position]; ok {
					all = append(all, &order.Placed{Position: w.Position, ID: w.ID, Hash: w.hash, Standing: st})
					steps[w.Position] = w.step
				} else if most, forked := s.lost[d]; w.honest && (!forked || w.Index < most) {
					t.Fatalf("%v is honest and waits", w.Position)
				}
			}
		}
		guessed := slices.ContainsFunc(s.all, func(w *written) bool {
			return slices.ContainsFunc(w.After, func(c journal.Prefix) bool {
				most, forked := s.lost[c.Device]
				return forked && c.Size > most && !w.honest
			})
		})
		byPosition := make(map[journal.Position]*order.Placed)
		for _, p := range all {
			byPosition[p.Position] = p
		}
		for _, d := range devices {
			for _, w := range m.logs[d] {
				p := byPosition[w.Position]
				if p == nil || !w.honest || p.Old {
					continue
				}
				for from, n := range w.saw {
					if q := byPosition[journal.Position{Device: from, Index: n - 1}]; q != nil && (q.Relation(p) != order.Before || p.Relation(q) != order.After || q.Compare(p) >= 0) {
						t.Fatalf("%v had seen %v, which is %d to it", p.Position, q.Position, q.Relation(p))
					}
				}
			}
		}
		for _, a := range all {
			for _, b := range all {
				r := a.Relation(b)
				if r != -b.Relation(a) {
					t.Fatalf("%v and %v are %d and %d", a.Position, b.Position, r, b.Relation(a))
				}
				if r == order.Before && a.Compare(b) >= 0 {
					t.Fatalf("%v is before %v and stands behind it", a.Position, b.Position)
				}
				if r == order.Before && !(a.Old && b.Old) && !guessed && steps[a.Position] > steps[b.Position] {
					t.Fatalf("%v was written after %v and is said to be before it", a.Position, b.Position)
				}
			}
		}
	})
}

// Whoever holds what an honest writer held counts the entry, whatever a liar
// wrote into its own log.
func TestHonestEntriesDoNotWait(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		s.play(t)
		for _, m := range s.machines {
			for _, d := range devices {
				for _, w := range m.logs[d] {
					same := w.honest
					for of, n := range w.held {
						here := m.logs[of]
						same = same && int64(len(here)) >= n && here[n-1].root == w.beyond[of]
					}
					if same && m.front.Closed(d) <= w.Index {
						t.Fatalf("%s holds all that the writer of %v held, and waits", m.name, w.Position)
					}
				}
			}
		}
	})
}

// The written form is read as written, and nothing else is.
func FuzzStanding(f *testing.F) {
	for _, s := range []order.Standing{
		{}, {Place: 1<<63 + 7, Old: true},
		{Place: 9, Past: order.Past{{Device: "bench-1", Size: 300}, {Device: "hub", Size: 1}}, Wait: &order.Wait{Why: order.NotHere, Device: "hub", Size: 12}},
	} {
		raw, err := s.MarshalBinary()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		var s order.Standing
		if s.UnmarshalBinary(raw) != nil {
			return
		}
		first, err := s.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		var again order.Standing
		if err := again.UnmarshalBinary(first); err != nil {
			t.Fatal(err)
		}
		if second, _ := again.MarshalBinary(); string(first) != string(second) {
			t.Fatalf("%x is written again as %x", first, second)
		}
	})
}
