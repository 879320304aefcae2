package record

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/tlog"
)

// placing works out how the entries of a book stand, as its logs grow.
type placing struct {
	keeper *order.Keeper
	logs   map[journal.DeviceID]*grown
	early  map[journal.Position][]*held // not in their log yet
	rules  rules                        // as the keeper knows them
	moved  bool                         // some entry stands elsewhere now
}

// grown is a log in the book from its first entry on, with its tree.
type grown struct {
	tree  *proof.Tree
	nodes [][]tlog.Hash // that each leaf completes
	held  []*held
}

// rules are the words of the register on which the order rests.
type rules struct {
	ends  map[journal.DeviceID]int64 // so many entries of a closed log count
	notes map[journal.DeviceID]int64 // from this entry on a log cites
	parts map[journal.DeviceID]int64 // so many entries all histories of a log have
}

func newPlacing(r rules) *placing {
	p := &placing{logs: make(map[journal.DeviceID]*grown), early: make(map[journal.Position][]*held), rules: r}
	p.keeper = order.New(p, p)
	for d, n := range r.ends {
		p.keeper.Close(d, n)
	}
	for d, n := range r.parts {
		p.keeper.Part(d, n)
	}
	for d, n := range r.notes {
		_, err := p.keeper.Note(context.Background(), d, n)
		must(err)
	}
	return p
}

// must holds to its word what cannot fail in memory.
func must(err error) {
	if err != nil {
		panic(fmt.Errorf("record: order entries: %w", err))
	}
}

func (p *placing) log(d journal.DeviceID) *grown {
	g := p.logs[d]
	if g == nil {
		g = &grown{tree: new(proof.Tree)}
		p.logs[d] = g
	}
	return g
}

// ReadHashes implements [tlog.HashReader].
func (g *grown) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	list := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		leaf, nth := proof.Place(x)
		list[i] = g.nodes[leaf][nth]
	}
	return list, nil
}

// RootAt implements [order.Roots].
func (p *placing) RootAt(_ context.Context, d journal.DeviceID, size int64) ([32]byte, error) {
	tree, err := proof.LoadTree(size, p.log(d))
	if err != nil {
		return [32]byte{}, err
	}
	return tree.Root(), nil
}

// Standing implements [order.Store].
func (p *placing) Standing(_ context.Context, at journal.Position) (order.Standing, error) {
	return p.logs[at.Device].held[at.Index].stands.Standing, nil
}

// Keep implements [order.Store].
func (p *placing) Keep(_ context.Context, at journal.Position, s order.Standing) error {
	p.move(p.logs[at.Device].held[at.Index], s)
	return nil
}

// move has an entry stand so. Shops that were folded keep what they had.
func (p *placing) move(h *held, s order.Standing) {
	if h.stands != nil && h.stands.Place == s.Place && h.stands.Old == s.Old && slices.Equal(h.stands.Past, s.Past) && sameWait(h.stands.Wait, s.Wait) {
		return
	}
	h.stand(s)
	p.moved = true
}

func (h *held) stand(s order.Standing) {
	h.stands = &order.Placed{Position: h.at, Hash: h.sum, Quoted: h.quote != nil, Standing: s}
	if e := h.wrote(); e != nil {
		h.stands.ID = e.ID
	}
}

func sameWait(a, b *order.Wait) bool { return a == b || a != nil && b != nil && *a == *b }

// add notes an entry that is new in the book. It reports whether another one
// holds its place in the log already.
func (p *placing) add(h *held) (taken bool) {
	p.early[h.at] = append(p.early[h.at], h)
	return h.at.Index < int64(len(p.log(h.at.Device).held))
}

// grow takes in what continues the logs and has everything stand as the rule
// says. Of entries that claim one place in a log, only one can have it.
func (p *placing) grow() {
	for _, d := range slices.Sorted(maps.Keys(p.logs)) {
		g := p.logs[d]
		before := len(g.held)
		for {
			at := journal.Position{Device: d, Index: int64(len(g.held))}
			claims := p.early[at]
			if len(claims) == 0 {
				break
			}
			h := slices.MinFunc(claims, func(a, b *held) int { return bytes.Compare(a.sum[:], b.sum[:]) })
			if claims = slices.DeleteFunc(claims, func(c *held) bool { return c == h }); len(claims) > 0 {
				p.early[journal.Position{Device: d, Index: -1 - at.Index}] = claims // where no log ever comes
			}
			delete(p.early, at)
			g.nodes = append(g.nodes, g.tree.AppendHash(h.leaf))
			g.held = append(g.held, h)
			must(p.keeper.Add(order.Of(at, h.wrote())))
		}
		if len(g.held) > before {
			must(p.keeper.Grow(context.Background(), d))
		}
	}
	for d, g := range p.logs {
		list, err := p.keeper.Waiting(context.Background(), d)
		must(err)
		for _, w := range list {
			p.move(g.held[w.Index], w.Standing)
		}
	}
	for _, claims := range p.early {
		for _, h := range claims {
			p.move(h, apart(h))
		}
	}
}

// apart is how an entry stands whose log is not here before it: by its id if
// its log cited nothing, otherwise it waits.
func apart(h *held) order.Standing {
	if h.entry == nil {
		return order.Standing{Old: true}
	}
	s := order.Standing{Place: h.wrote().ID.Bits(), Old: true}
	if len(h.wrote().After) > 0 {
		s.Old, s.Wait = false, &order.Wait{Why: order.NotHere, Device: h.at.Device, Size: h.at.Index}
	}
	return s
}

// place has every entry of the book stand where the rule says.
func (b *Book) place() {
	now := b.rules()
	if p := b.placing; p == nil || !maps.Equal(now.ends, p.rules.ends) || !maps.Equal(now.notes, p.rules.notes) || !maps.Equal(now.parts, p.rules.parts) {
		b.placing = newPlacing(now)
		for _, h := range b.held {
			if !h.given {
				b.placing.add(h)
			}
		}
	}
	b.placing.grow()
	b.sorted = b.sorted && !b.placing.moved
	b.placing.moved = false
}

// rules gathers what the register says that the order rests on.
func (b *Book) rules() rules {
	r := rules{ends: make(map[journal.DeviceID]int64), notes: make(map[journal.DeviceID]int64), parts: make(map[journal.DeviceID]int64)}
	least := func(m map[journal.DeviceID]int64, d journal.DeviceID, n int64) {
		if before, ok := m[d]; !ok || n < before {
			m[d] = n
		}
	}
	by := b.authority()
	for _, h := range b.register {
		if h.void(by) != "" {
			continue
		}
		switch p := h.payload.(type) {
		case *journal.LogClosing:
			least(r.ends, p.Device, p.Counts)
		case *journal.LogNote:
			least(r.notes, p.Device, p.From)
		case *journal.LogParting:
			least(r.parts, p.Device, p.Common)
		}
	}
	return r
}
