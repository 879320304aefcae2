package facts

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/bleed"
)

// hydraulics is where the brake lines of the vehicle stand.
type hydraulics struct {
	state bleed.State
	err   error
	order []bleed.Corner
	last  *Event                  // the last work on the lines: a joint, an opening, a bleeding
	air   map[bleed.Corner]*Event // what last let air into a corner
	bled  map[bleed.Corner]*Event // the last bleeding without bubbles
	drawn map[bleed.Corner]screws // bled without bubbles since air was last let in
	open  []opening
	seen  map[bleed.Corner]bool // corners of which an opening is on record
	whole bool                  // the fluid of the whole system is being changed
}

type opening struct {
	corner bleed.Corner // "" ahead of all corners
	place  string
}

// lines works the brake lines out, once for each look at a job.
func (w *Job) lines() *hydraulics {
	if w.hydro != nil {
		return w.hydro
	}
	h := &hydraulics{air: make(map[bleed.Corner]*Event), bled: make(map[bleed.Corner]*Event), drawn: make(map[bleed.Corner]screws), seen: make(map[bleed.Corner]bool)}
	w.hydro = h
	known := false
	if h.order, _, known = w.bleedOrder(); !known {
		usual, err := bleed.OrderOf(bleed.Vehicle{Driver: bleed.Left, Split: bleed.FrontRear})
		if h.err = err; err != nil {
			return h
		}
		h.order = usual.Corners
	}
	var events []bleed.Event
	for i := range w.all {
		e := &w.all[i]
		corner := bleed.Corner(e.Line.Subject.Corner())
		if corner != "" && !slices.Contains(h.order, corner) {
			continue // a part on its own has no lines
		}
		switch d := e.Data.(type) {
		case *journal.LineOpening:
			events = append(events, bleed.Opened(corner, h.opened(e, corner, d.At)))
		case *journal.LineConnection:
			events = append(events, bleed.Closed(corner, h.closed(e, corner, d.At)))
		case *journal.Bleed:
			if d.Whole && !h.whole {
				h.whole = true
				clear(h.drawn)
				events = append(events, bleed.Changing())
			}
			events = append(events, h.bleeding(e, corner, d))
		case *journal.Reservoir:
			if d.RanDry {
				h.let(e, "")
				events = append(events, bleed.RanDry())
			} else {
				events = append(events, bleed.Topped())
			}
		case *journal.Torque:
			if w.card.Joints[w.card.Joint(d.Joint)].Hydraulic {
				h.last = e
			}
		}
	}
	h.state, h.err = bleed.Complete(events, h.order, w.bleeders())
	return h
}

// LineOpen reports whether a line of a corner is open at a place, whatever words the place
// was called by.
func (w *Job) LineOpen(corner journal.Corner, at string) bool {
	return slices.Contains(w.lines().open, opening{bleed.Corner(corner), placeIn(at)})
}

// let notes what let air into a corner, or into all.
func (h *hydraulics) let(e *Event, corner bleed.Corner) {
	h.last = e
	for _, c := range h.order {
		if corner == "" || c == corner {
			h.air[c] = e
			delete(h.drawn, c)
		}
	}
}

func (h *hydraulics) opened(e *Event, corner bleed.Corner, at string) string {
	place := placeIn(at)
	h.let(e, corner)
	h.seen[corner] = true
	if o := (opening{corner, place}); !slices.Contains(h.open, o) {
		h.open = append(h.open, o)
	}
	return place
}

// closed finds which opening a closing is of: the place of that name, or the
// only one that is open.
func (h *hydraulics) closed(e *Event, corner bleed.Corner, at string) string {
	h.last = e
	place := placeIn(at)
	var here []opening
	for _, o := range h.open {
		if o.corner == corner {
			here = append(here, o)
		}
	}
	if !slices.Contains(here, opening{corner, place}) {
		if len(here) == 1 {
			place = here[0].place
		} else {
			h.let(e, corner) // closed without having been open, as far as is known
		}
	}
	h.open = slices.DeleteFunc(h.open, func(o opening) bool { return o == opening{corner, place} })
	return place
}

// bleeding takes in that a corner was bled.
func (h *hydraulics) bleeding(e *Event, corner bleed.Corner, d *journal.Bleed) bleed.Event {
	if d.Bubbles != journal.NoBubbles {
		h.let(e, corner)
		return bleed.Bubbled(corner)
	}
	h.last, h.bled[corner] = e, e
	h.drawn[corner] = h.drawn[corner].with(e, d)
	return bleed.BledAt(corner, screwsOf(d))
}

// placeIn brings the name of a place in a line into the form in which places
// are compared: "banjo RF, hose plugged" is the banjo.
func placeIn(text string) string {
	text, _, _ = strings.Cut(strings.ToLower(text), ",")
	words := slices.DeleteFunc(strings.Fields(text), func(w string) bool {
		return slices.Contains([]string{"lf", "rf", "lr", "rr", "the"}, w)
	})
	return strings.Join(words, " ")
}

// joins says how a line joins where it was opened: as somebody wrote, else by
// the words for the place; "" where it joins by none of these.
func joins(o *journal.LineOpening) journal.LineJoint {
	if o.Joins != "" {
		return o.Joins
	}
	for _, known := range []struct {
		word  string
		joint journal.LineJoint
	}{
		{"flare", journal.JoinsByFlare}, {"pipe", journal.JoinsByFlare}, {"hard line", journal.JoinsByFlare}, {"union", journal.JoinsByFlare},
		{"bleed", journal.JoinsByBleeder}, {"reservoir", ""}, {"master", ""},
	} {
		if strings.Contains(strings.ToLower(o.At), known.word) {
			return known.joint
		}
	}
	return journal.JoinsByBanjo
}

// onLine reports whether a part of the corner came off that a line leads to.
func (w *Job) onLine(c *cornerWork) bool {
	for _, base := range c.names() {
		for _, j := range w.card.Joints {
			if j.Hydraulic && j.Of != "" && j.Of == base {
				return true
			}
		}
	}
	return false
}

// bleedAsked reports whether anything was done that makes bleeding necessary.
func (w *Job) bleedAsked() bool {
	for _, e := range w.all {
		switch d := e.Data.(type) {
		case *journal.LineOpening, *journal.LineConnection, *journal.Bleed:
			return true
		case *journal.Reservoir:
			if d.RanDry {
				return true
			}
		}
	}
	return slices.ContainsFunc(w.corners, w.onLine)
}

// line looks at the lines of one corner.
func (w *Job) line(c *cornerWork, g *Group) (f card.LineFacts) {
	h, corner := w.lines(), bleed.Corner(c.corner.Corner)
	opened := lastOf(c.events, func(e Event) bool { _, ok := e.Data.(*journal.LineOpening); return ok })
	closed := lastOf(c.events, func(e Event) bool { _, ok := e.Data.(*journal.LineConnection); return ok })
	f.Touched = opened != nil || closed != nil
	f.Banjo = opened == nil && w.onLine(c)
	for _, e := range c.events {
		if o, ok := e.Data.(*journal.LineOpening); ok {
			f.Banjo = f.Banjo || joins(o) == journal.JoinsByBanjo
			f.Flare = f.Flare || joins(o) == journal.JoinsByFlare
		}
	}
	g.rests(opened.record(), closed.record())
	for _, o := range h.open {
		if o.corner == corner {
			f.Open = append(f.Open, o.place)
		}
	}
	switch {
	case !f.Touched:
		g.await(LineState, NoLine)
	case opened == nil:
		g.state(Statement{Quantity: LineState, Met: NotKnown, Sure: NotProven, Because: NotOpened})
	case len(f.Open) == 0:
		f.Closed = true
		g.state(Statement{Quantity: LineState, Value: "closed", Met: Yes})
	case opened.after(closed):
		g.state(Statement{Quantity: LineState, Value: "open", With: []Figure{with("places", strings.Join(f.Open, ", "))}, Met: No})
		g.undo(opened.Line, LineState, OpenedAgain)
	default:
		g.pend(Statement{About: g.About, Quantity: LineState, Value: strings.Join(f.Open, ", "), Met: No, Sure: NotYet, Because: NotClosed})
	}
	return f
}

// bleed looks at the bleeding of one corner.
func (w *Job) bleed(c *cornerWork, g *Group) (f card.BleedFacts) {
	h, corner := w.lines(), bleed.Corner(c.corner.Corner)
	e, d := last[journal.Bleed](c.events)
	if d == nil {
		g.await(Bled, NotBled)
		return f
	}
	f.Begun, f.DrawnML = true, millilitres(d.Drawn)
	drawn, volume := split(d.Drawn)
	g.state(Statement{Quantity: Bled, Value: drawn, Unit: volume, With: []Figure{with("bubbles", string(d.Bubbles))}}, e.Line)
	for _, n := range h.state.Need {
		if n.Corner != corner {
			continue
		}
		g.state(Statement{Quantity: BleedNeeded, Of: string(corner), Met: No, Sure: Reckoned, Result: clause(n.Why)})
		if air := h.air[corner]; air.after(e) {
			g.lose(air.Line, Statement{About: g.About, Quantity: Bled, Met: No, Sure: Undone, Because: AirAfter, Result: clause(n.Why)})
		}
		return f
	}
	f.Done = h.err == nil && h.bled[corner] != nil && slices.Contains(h.state.Bled, corner)
	return f
}
