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

// with adds a bleeding. It stands in the place of those of the same screw, and
// one of several screws in that of those of fewer, which may have been of the
// same: nobody named them.
func (s screws) with(e *Event, d *journal.Bleed) screws {
	rest := slices.DeleteFunc(slices.Clone(s), func(b bled) bool {
		return journal.Called(b.data.Which) == journal.Called(d.Which) && screwsOf(b.data) <= screwsOf(d)
	})
	return append(rest, bled{e, d})
}

// count is how many screws were bled for certain.
func (s screws) count() int {
	unnamed, named := 0, 0
	for _, b := range s {
		if journal.Called(b.data.Which) == "" {
			unnamed = max(unnamed, screwsOf(b.data))
		} else {
			named++
		}
	}
	return max(unnamed, named)
}

func screwsOf(d *journal.Bleed) int { return max(1, d.Screws) }

// bleeders is how many bleeder screws a corner has, as far as it was stated;
// one where nobody stated any.
func (w *Job) bleeders(corner bleed.Corner) int {
	n := 0
	for _, c := range w.corners {
		if bleed.Corner(c.corner.Corner) == corner {
			n += c.bleeders()
		}
	}
	return max(1, n)
}

func (c *cornerWork) bleeders() (n int) {
	for _, p := range c.parts {
		if p.has != nil {
			n += p.has.Bleeders
		}
	}
	return n
}

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
			g.state(Statement{Quantity: ScrewTorque, Value: "by hand"}, b.Line)
		}
	}
	if written+byHand < len(list) || len(list) == 0 {
		g.await(ScrewTorque, NoScrewTorque)
		return f
	}
	f.Done, f.ByHand = written > 0, written == 0
	return f
}
