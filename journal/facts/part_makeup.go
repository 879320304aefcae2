package facts

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// tally counts small things by their names.
type tally map[string]int

// add counts things in.
func (t tally) add(items []journal.Item) {
	for _, i := range items {
		t[journal.Called(i.What)] += i.Count
	}
}

// pieces is how many things were counted in all.
func (t tally) pieces() (n int) {
	for _, count := range t {
		n += count
	}
	return n
}

// lack is what a part has and entries do not name in full.
type lack struct {
	what        string
	missing, of int
}

// lacks holds what was counted against what the part has. A thing that it has
// not, or that has another name, stands for nothing.
func (t tally) lacks(has []journal.Item) (list []lack) {
	for _, i := range has {
		if n := i.Count - t[journal.Called(i.What)]; n > 0 {
			list = append(list, lack{journal.Called(i.What), n, i.Count})
		}
	}
	return list
}

// lacking states what is missing: still to come, or too late since an entry.
func (g *Group) lacking(q Quantity, because Cause, list []lack, since *record.Line) {
	for _, l := range list {
		g.lack(Statement{Quantity: q, Of: l.what, Value: fmt.Sprint(l.missing), With: []Figure{with("of", fmt.Sprint(l.of))}, Because: because}, since)
	}
}

// MakeUp returns what a part was stated to have, as it was stated last; nil if
// nobody stated it.
func MakeUp(part *record.Part) (has *journal.MakeUp) {
	var at *record.Line
	for _, l := range part.Lines {
		if m, ok := l.Effect().(*journal.MakeUp); ok && (at == nil || After(l, at)) {
			at, has = l, m
		}
	}
	return has
}

// named states what is missing of the part's things while it is off, or was
// when it went back on, and reports whether nothing is.
func (p *partWork) named(g *Group, q Quantity, still, late Cause, list []lack) bool {
	if back := p.refitted(); back != nil {
		g.lacking(q, late, list, back.Line)
	} else {
		g.lacking(q, still, list, nil)
	}
	return len(list) == 0
}

// unstated says of a judgement that it was made without knowing what the part
// has.
func (p *partWork) unstated(g *Group) {
	if p.has == nil {
		g.state(Statement{Quantity: PartHas, Met: NotKnown, Sure: NotProven, Because: NotDescribed}, nil)
	}
}

// makeUp states what the part has, as it was stated last.
func (p *partWork) makeUp(g *Group) (f card.MakeUpFacts) {
	m := p.has
	if m == nil {
		g.await(PartHas, NotDescribed)
		return f
	}
	f = card.MakeUpFacts{
		Stated: true, Bores: pieces(m.Bores), Threads: pieces(m.Threads), Seats: pieces(m.Seats), Lands: pieces(m.Lands),
		Rubber: pieces(m.Rubber), Bleeders: m.Bleeders, Line: string(m.Line), Parking: string(m.Parking),
	}
	g.state(Statement{Quantity: PartHas, Value: fmt.Sprint(pieces(m.Covered())), With: []Figure{
		with("rubber", fmt.Sprint(f.Rubber)), with("bleeders", fmt.Sprint(f.Bleeders)), with("line", f.Line), with("parking brake", f.Parking),
	}}, p.described.Line)
	return f
}

// wanted tells whether the part gets a coat. Who states that it goes back
// without one is believed until there is powder on it.
func (p *partWork) wanted(g *Group) (f card.CoatFacts) {
	f.Wanted = true
	if p.has == nil || !p.has.Uncoated {
		return f
	}
	powder, _ := first[journal.Coating](p.events, nil)
	f.Wanted = powder != nil
	g.rests(p.described.Line, powder.record())
	return f
}

func pieces(items []journal.Item) (n int) {
	for _, i := range items {
		n += i.Count
	}
	return n
}

// makeUp states how the brake line joins the parts of a corner.
func (c *cornerWork) makeUp(g *Group) (f card.JoinFacts) {
	f.Bleeders = c.bleeders()
	for _, p := range c.parts {
		if p.has == nil {
			continue
		}
		if f.Line == "" || f.Line == string(journal.NoLine) {
			f.Line = string(p.has.Line)
		}
		g.rests(p.described.Line)
	}
	return f
}

// banjos returns the joints of the card by which lines join parts with a banjo,
// with their bolts, as far as somebody stated it.
func (c *cornerWork) banjos(by *card.Card) map[string]int {
	list := make(map[string]int)
	for _, p := range c.parts {
		if p.has == nil || p.has.Line != journal.ByBanjo {
			continue
		}
		for _, j := range p.has.Joints {
			if name := by.Joint(j.Joint); by.Joints[name].Hydraulic {
				list[name] += j.Bolts
			}
		}
	}
	return list
}

// bolts returns how many bolts a joint of the card has in the corner: those
// that its parts were stated to have, and of parts of which nobody stated
// anything, those that the card gives the joint.
func (c *cornerWork) bolts(by *card.Card, name string) (n int, stated bool) {
	is := by.Joints[name]
	silent := len(c.parts) == 0
	for _, p := range c.parts {
		if p.has == nil {
			silent = silent || is.Of == "" || is.Of == p.base
			continue
		}
		for _, j := range p.has.Joints {
			if by.Joint(j.Joint) == name {
				n += j.Bolts
			}
		}
	}
	if silent && n == 0 {
		return max(1, is.Bolts), false
	}
	return n, n > 0
}

// called is what a joint of the card is called at the corner: as it was stated of
// a part that it is at, else by the card's first name.
func (c *cornerWork) called(by *card.Card, name string) string {
	for _, p := range c.parts {
		if p.has == nil {
			continue
		}
		for _, j := range p.has.Joints {
			if by.Joint(j.Joint) == name {
				return j.Joint
			}
		}
	}
	return by.Joints[name].Names[0]
}

// singleUse returns where a part of the corner was stated to have bolts at a
// joint of the card that are used once only; nil where nobody stated it.
func (c *cornerWork) singleUse(by *card.Card, name string) *record.Line {
	for _, p := range c.parts {
		if p.has == nil {
			continue
		}
		for _, j := range p.has.Joints {
			if j.SingleUse && by.Joint(j.Joint) == name {
				return p.described.Line
			}
		}
	}
	return nil
}

// usedOnce reports whether a joint of the entry's corner was stated to have
// bolts that are used once only, by the very name of the joint.
func (w *entry) usedOnce(joint string) bool {
	j := w.shop.Job(w.line.Subject.Job())
	if j == nil {
		return false
	}
	for _, c := range j.Corners {
		if c.Corner != w.line.Subject.Corner() {
			continue
		}
		for _, p := range c.Parts {
			has := MakeUp(p)
			if has != nil && slices.ContainsFunc(has.Joints, func(b journal.Bolting) bool {
				return b.SingleUse && journal.Called(b.Joint) == journal.Called(joint)
			}) {
				return true
			}
		}
	}
	return false
}
