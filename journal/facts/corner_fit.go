package facts

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/words"
)

// partsBack looks whether every part of the corner went off and on again.
func (c *cornerWork) partsBack(g *Group) (f card.PartsFacts) {
	f.Names = c.names()
	f.Back = len(c.parts) > 0
	for _, p := range c.parts {
		if o := p.again(); o != nil {
			f.Back = false
			g.pend(Statement{About: g.About, Quantity: PartsBack, Of: string(p.part.ID), Value: string(o.part.ID), With: []Figure{with("as", c.free(p.base))}, Met: NotKnown, Sure: NotYet, Because: RefusedByOtherName}.on(o.ruled))
		}
	}
	f.Back = !c.instead(g) && f.Back
	for _, p := range c.parts {
		if numbers := p.numbers(); len(numbers) > 1 {
			f.Back = false
			g.pend(Statement{About: g.About, Quantity: PartsBack, Of: string(p.part.ID), Value: words.And(numbers...), With: []Figure{with("as", c.free(p.base))}, Met: NotKnown, Sure: NotYet, Because: TwoCastings})
		}
		off, _ := last[journal.Removal](p.events)
		back := p.refitted()
		g.rests(off.record())
		switch {
		case off == nil && !p.standsIn():
			f.Back = false
			g.await(PartsBack, NotOff, string(p.part.ID))
		case back == nil:
			f.Back = false
			g.await(PartsBack, PartNotBack, string(p.part.ID))
			if fit, _ := first[journal.Refitting](p.events, nil); fit.before(off) && offVehicle(*off) {
				g.undo(off.Line, PartsBack, PartOffAgain, string(p.part.ID))
			}
		default:
			g.rests(back.Line)
		}
	}
	if f.Back {
		g.state(Statement{Quantity: PartsBack, Value: strings.Join(f.Names, ", "), Met: Yes})
	}
	return f
}

func (c *cornerWork) bag(g *Group) (f card.BagFacts) {
	for _, e := range c.events {
		if b, ok := e.Data.(*journal.Bagging); ok {
			f.Done = true
			g.rests(e.Line)
			for _, item := range b.Items {
				f.Pieces += item.Count
			}
		}
	}
	if !f.Done {
		g.await(Bagged, NoBag)
		return f
	}
	g.state(Statement{Quantity: Bagged, Value: fmt.Sprint(f.Pieces)})
	fit := lastOf(c.events, func(e Event) bool { _, ok := e.Data.(*journal.Refitting); return ok })
	empty := lastOf(c.events, func(e Event) bool { return e.shows(EmptyBag) })
	switch {
	case empty == nil:
		g.await(BagEmpty, NoEmptyBag)
	case fit == nil || empty.before(fit):
		g.rests(empty.Line)
		g.undo(fit.record(), BagEmpty, BackAfterBag)
	default:
		f.Emptied = true
		g.state(Statement{Quantity: BagEmpty, Met: Yes}, empty.Line)
	}
	return f
}

// washers counts, joint by joint, the new washers since the last opening.
func (w *Job) washers(c *cornerWork, g *Group) (f card.WasherFacts) {
	opened := lastOf(c.events, func(e Event) bool {
		o, ok := e.Data.(*journal.LineOpening)
		return ok && joins(o) == journal.JoinsByBanjo
	})
	f.Needed = opened != nil || w.onLine(c) && !slices.ContainsFunc(c.events, is[journal.LineOpening])
	banjos := c.banjos(w.card)
	counts := make(map[string]int)
	var before *Event
	for i := range c.events {
		e := &c.events[i]
		n, ok := e.Data.(*journal.Washers)
		if !ok {
			continue
		}
		if e.before(opened) {
			before = e
			continue
		}
		if len(banjos) > 0 || w.sealsLine(n.Joint, opened) {
			counts[journal.Called(n.Joint)] += n.Count
		}
		f.Photos += len(e.Line.Photos)
		g.state(Statement{Quantity: NewWashers, Of: n.Joint, Value: fmt.Sprint(n.Count), With: []Figure{with("material", string(n.Material))}}, e.Line)
	}
	for _, joint := range slices.Sorted(maps.Keys(counts)) {
		if !f.Done || counts[joint] < f.Least {
			f.Least = counts[joint]
		}
		f.Done = true
	}
	if len(banjos) > 0 { // and washers elsewhere do not stand for them
		f.Done = len(counts) > 0
		for i, joint := range slices.Sorted(maps.Keys(banjos)) {
			each := 0
			for name, n := range counts {
				if w.card.Joint(name) == joint {
					each += n
				}
			}
			if each /= banjos[joint]; i == 0 || each < f.Least {
				f.Least = each
			}
		}
	}
	switch {
	case f.Done:
	case before != nil:
		g.rests(before.Line)
		g.undo(opened.Line, NewWashers, OpenedAfterWashers)
	default:
		g.await(NewWashers, NoWasher)
	}
	return f
}

// sealsLine reports whether a name is that of the joint at which a line was
// opened, where nobody stated what the parts have: by the words for the place,
// or where these name no joint, one that seals with washers.
func (w *Job) sealsLine(joint string, opened *Event) bool {
	place := ""
	if opened != nil {
		place = placeIn(opened.Data.(*journal.LineOpening).At)
	}
	is, named := w.card.Joint(joint), false
	for key, j := range w.card.Joints {
		if j.Hydraulic && slices.ContainsFunc(append([]string{key}, j.Names...), func(name string) bool { return alike(journal.Called(name), place) }) {
			if named = true; key == is {
				return true
			}
		}
	}
	washed := w.card.Joints[is].Hydraulic && joins(&journal.LineOpening{At: joint}) == journal.JoinsByBanjo
	return alike(journal.Called(joint), place) || !named && washed
}

// alike reports whether one name is the other with more words behind it.
func alike(a, b string) bool {
	return a != "" && b != "" && (strings.HasPrefix(a+" ", b+" ") || strings.HasPrefix(b+" ", a+" "))
}

// wheel looks at the two steps of fitting since the last work behind the wheel.
func (w *Job) wheel(c *cornerWork, g *Group) (f card.WheelFacts) {
	behind := lastOf(c.events, doing(journal.BehindWheel))
	var snug, full, before *Event
	for i := range c.events {
		e := &c.events[i]
		d, ok := e.Data.(*journal.WheelFit)
		switch {
		case !ok:
		case e.before(behind):
			before = e
		case d.Step == journal.WheelSnug:
			snug, full = e, nil
		default:
			full = e
		}
	}
	f.Off = behind != nil || snug != nil || full != nil || before != nil
	f.Snug = snug != nil
	g.rests(snug.record(), full.record())
	switch {
	case full == nil && snug == nil && before != nil:
		g.rests(before.Line)
		g.undo(behind.Line, WheelTorque, WorkBehindWheel)
		return f
	case full == nil:
		g.await(WheelTorque, NotFull)
		return f
	}
	d := full.Data.(*journal.WheelFit)
	f.Done, f.Nuts, f.Torque = true, d.Nuts, newtonMetres(d.Torque)
	f.Crosswise = d.Pattern != journal.InTurn
	value, unit := split(d.Torque)
	g.state(Statement{Quantity: WheelTorque, Value: value, Unit: unit, With: []Figure{with("nuts", fmt.Sprint(d.Nuts)), with("pattern", string(d.Pattern))}}, full.Line)
	if f.TwoSteps = snug != nil; f.TwoSteps {
		s := snug.Data.(*journal.WheelFit)
		f.Crosswise = f.Crosswise && s.Pattern != journal.InTurn
		value, unit := split(s.Torque)
		g.state(Statement{Quantity: WheelSnug, Value: value, Unit: unit}, snug.Line)
	} else {
		g.state(Statement{Quantity: WheelSnug, Met: NotKnown, Sure: NotProven, Because: NotSnug}, full.Line)
	}
	f.ToolGood = w.goodTool(g, d.Tool, full.Line)
	f.Inside = w.nuts(g, full, d)
	return f
}

// nuts holds what the wheel got against the vehicle's figure.
func (w *Job) nuts(g *Group, e *Event, d *journal.WheelFit) bool {
	t := w.stock.wheelNuts(*e, d)
	g.state(t.is, append([]*record.Line{e.Line, t.spec}, t.tool.Rests...)...)
	if !t.right() {
		return false
	}
	if t.asked.Bolts > d.Nuts {
		g.state(Statement{Quantity: JointTorque, Of: "wheel nuts", Value: fmt.Sprint(d.Nuts), Limit: Limit{Low: fmt.Sprint(t.asked.Bolts)}, Met: No, Because: BoltsMissing}, e.Line, t.spec)
		return false
	}
	return true
}

// wheelNuts judges the nuts or bolts of a wheel by the figure that is cited.
func (s *Stock) wheelNuts(e Event, d *journal.WheelFit) tightening {
	t := s.tighten(e, &journal.Torque{Joint: "wheel nuts", Torque: d.Torque, Tool: d.Tool, Spec: d.Spec, Count: d.Nuts, NewBolts: true}, nil, "")
	if t.right() && jointOf(t.asked.Joint) != torque.WheelNut {
		t.word, t.is.Met, t.is.Sure, t.is.Because = torque.NotProven, NotKnown, NotProven, OtherJoint
		t.is.With = append(t.is.With, with("spec", string(d.Spec)), with("spec joint", t.asked.Joint))
	}
	return t
}
