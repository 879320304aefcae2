package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/bleed"
)

// screws are the bleedings of one corner, without bubbles and with no air let in
// between them.
type screws []bled

type bled struct {
	*Event
	data *journal.Bleed
}

// with adds a bleeding, in the place of those that it replaces.
func (s screws) with(e *Event, d *journal.Bleed) screws {
	rest := slices.DeleteFunc(slices.Clone(s), func(b bled) bool { return screwsOf(d).Replaces(screwsOf(b.data)) })
	return append(rest, bled{e, d})
}

// screwsOf is which screws a bleeding was at.
func screwsOf(d *journal.Bleed) bleed.Screws {
	return bleed.Screws{Which: journal.Called(d.Which), Many: d.Screws}
}

// bleeders are the bleeder screws of each corner, as far as they were stated.
func (w *Job) bleeders() map[bleed.Corner]bleed.Bleeders {
	fitted := make(map[bleed.Corner]bleed.Bleeders)
	for _, c := range w.corners {
		fitted[bleed.Corner(c.corner.Corner)] = bleed.Bleeders{Count: c.bleeders()}
	}
	return fitted
}

func (c *cornerWork) bleeders() (n int) {
	for _, p := range c.parts {
		if p.has != nil {
			n += p.has.Bleeders
		}
	}
	return n
}

// closedByHand stands in the place of a screw's torque.
const closedByHand = "by hand"

// screw looks at how the bleeder screws of a corner were closed when it was bled
// last: all of them.
func (w *Job) screw(c *cornerWork, g *Group) (f card.ScrewFacts) {
	list := w.lines().drawn[bleed.Corner(c.corner.Corner)]
	if e, d := last[journal.Bleed](c.events); d != nil && len(list) == 0 {
		list = screws{{e, d}}
	}
	written, byHand := 0, 0
	f.ToolGood = true
	for _, b := range list {
		switch {
		case !b.data.Screw.IsZero():
			written++
			f.Torque = max(f.Torque, newtonMetres(b.data.Screw))
			value, of := split(b.data.Screw)
			g.state(Statement{Quantity: ScrewTorque, Value: value, Unit: of, With: []Figure{with("tool", string(b.data.Tool))}}, b.Line)
			f.ToolGood = w.goodTool(g, b.data.Tool, b.Line) && f.ToolGood
		case b.data.ByHand:
			byHand++
			g.state(Statement{Quantity: ScrewTorque, Value: closedByHand}, b.Line)
		}
	}
	if written+byHand < len(list) || len(list) == 0 {
		g.await(ScrewTorque, NoScrewTorque)
		return f
	}
	f.Done, f.ByHand = written > 0, written == 0
	return f
}
