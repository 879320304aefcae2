package facts

import (
	"fettlebook/journal/card"
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// partsBack looks whether every part of the corner went off and on again.
func (c *cornerWork) partsBack(g *Group) (f card.PartsFacts) {
	f.Back = len(c.parts) > 0
	for _, p := range c.parts {
		if !slices.Contains(f.Names, p.base) {
			f.Names = append(f.Names, p.base)
		}
		off, _ := last[journal.Removal](p.events)
		back := p.refitted()
		g.rests(off.record())
		switch {
		case off == nil:
			f.Back = false
			g.wait("nobody wrote that the %s came off", p.part.ID)
		case back == nil:
			f.Back = false
			g.wait("the %s is not back on", p.part.ID)
			if fit, _ := first[journal.Refitting](p.events, nil); fit.before(off) {
				g.undo(off.Line, "the %s was taken off again", p.part.ID)
			}
		default:
			g.rests(back.Line)
		}
	}
	if f.Back {
		g.say("back on: %s", strings.Join(f.Names, ", "))
	}
	return f
}

// EmptyBag is the role of the photograph that stands for small parts counted
// back in: the journal has no entry of its own for that.
const EmptyBag = "bag empty"

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
		g.wait("no bag is written down yet")
		return f
	}
	g.say("%d pieces bagged", f.Pieces)
	fit := lastOf(c.events, func(e Event) bool { _, ok := e.Data.(*journal.Refitting); return ok })
	empty := lastOf(c.events, func(e Event) bool {
		return slices.ContainsFunc(e.Line.Photos, func(p record.Photo) bool { return strings.EqualFold(p.Role, EmptyBag) })
	})
	switch {
	case empty == nil:
		g.wait("no photograph shows the bag empty yet")
	case fit == nil || empty.before(fit):
		g.rests(empty.Line)
		g.undo(fit.record(), "a part went back on after the bag was shown empty")
	default:
		f.Emptied = true
		g.rests(empty.Line)
		g.say("a photograph shows the bag empty")
	}
	return f
}

// sealsWithWashers reports whether opening a line at that place asks for new
// washers: everywhere but where its name says that metal seals on metal.
func sealsWithWashers(place string) bool {
	place = strings.ToLower(place)
	for _, word := range []string{"flare", "pipe", "hard line", "reservoir", "master"} {
		if strings.Contains(place, word) {
			return false
		}
	}
	return true
}

// washers counts, joint by joint, the new washers since the last opening.
func (c *cornerWork) washers(g *Group) (f card.WasherFacts) {
	opened := lastOf(c.events, func(e Event) bool {
		o, ok := e.Data.(*journal.LineOpening)
		return ok && sealsWithWashers(o.At)
	})
	f.Needed = opened != nil
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
		counts[card.JointName(n.Joint)] += n.Count
		f.Photos += len(e.Line.Photos)
		g.rests(e.Line)
		g.say("%d new %s washers at the %s", n.Count, n.Material, n.Joint)
	}
	for _, joint := range slices.Sorted(maps.Keys(counts)) {
		if !f.Done || counts[joint] < f.Least {
			f.Least = counts[joint]
		}
		f.Done = true
	}
	switch {
	case f.Done:
	case before != nil:
		g.rests(before.Line)
		g.undo(opened.Line, "the line was opened after the washers went in")
	default:
		g.wait("no new washer is written down yet")
	}
	return f
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
		case d.Step == "snug, wheel off the ground":
			snug, full = e, nil
		default:
			full = e
		}
	}
	g.rests(snug.record(), full.record())
	switch {
	case full == nil && snug == nil && before != nil:
		g.rests(before.Line)
		g.undo(behind.Line, "work went on behind the wheel after it was fitted")
		return f
	case full == nil:
		g.wait("the wheel is not tightened in full on the ground yet")
		return f
	}
	d := full.Data.(*journal.WheelFit)
	f.Done, f.Nuts, f.Torque = true, d.Nuts, newtonMetres(d.Torque)
	f.Crosswise = d.Pattern != "in turn"
	g.say("%d nuts at %s on the ground, %s pattern", d.Nuts, d.Torque, d.Pattern)
	if f.TwoSteps = snug != nil; f.TwoSteps {
		s := snug.Data.(*journal.WheelFit)
		f.Crosswise = f.Crosswise && s.Pattern != "in turn"
		g.say("snug at %s in the air first", s.Torque)
	} else {
		g.say("nobody wrote that they were snug in the air first")
	}
	f.ToolGood = w.goodTool(g, d.Tool, full.Line)
	return f
}
