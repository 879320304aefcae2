package route

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/trade/bleed"
)

// hydraulics is where the brake lines of the vehicle stand.
type hydraulics struct {
	state bleed.State
	err   error
	order []bleed.Corner
	last  *event                  // the last work on the lines: a joint, an opening, a bleeding
	air   map[bleed.Corner]*event // what last let air into a corner
	bled  map[bleed.Corner]*event // the last bleeding without bubbles
	open  []opening
	seen  map[bleed.Corner]bool // corners of which an opening is on record
}

type opening struct {
	corner bleed.Corner // "" ahead of all corners
	place  string
}

// lines works the brake lines out, once for each look at a job.
func (w *work) lines() *hydraulics {
	if w.hydro != nil {
		return w.hydro
	}
	h := &hydraulics{air: make(map[bleed.Corner]*event), bled: make(map[bleed.Corner]*event), seen: make(map[bleed.Corner]bool)}
	w.hydro = h
	for _, c := range w.card.BleedOrder {
		h.order = append(h.order, bleed.Corner(c))
	}
	if len(h.order) == 0 {
		usual, err := bleed.OrderOf(bleed.Vehicle{Driver: bleed.Left, Split: bleed.FrontRear})
		if h.err = err; err != nil {
			return h
		}
		h.order = usual.Corners
	}
	var events []bleed.Event
	for i := range w.all {
		e := &w.all[i]
		corner := bleed.Corner(e.line.Subject.Corner())
		if corner != "" && !slices.Contains(h.order, corner) {
			continue // a part on its own has no lines
		}
		switch d := e.data.(type) {
		case *journal.LineOpening:
			events = append(events, bleed.Opened(corner, h.opened(e, corner, d.At)))
		case *journal.LineConnection:
			events = append(events, bleed.Closed(corner, h.closed(e, corner, d.At)))
		case *journal.Bleed:
			events = append(events, h.bleeding(e, corner, d))
		case *journal.Reservoir:
			if d.RanDry {
				h.let(e, "")
				events = append(events, bleed.RanDry())
			} else {
				events = append(events, bleed.Topped())
			}
		case *journal.Torque:
			if w.card.Joints[w.card.joint(d.Joint)].Hydraulic {
				h.last = e
			}
		}
	}
	h.state, h.err = bleed.Complete(events, h.order)
	return h
}

// let notes what let air into a corner, or into all.
func (h *hydraulics) let(e *event, corner bleed.Corner) {
	h.last = e
	for _, c := range h.order {
		if corner == "" || c == corner {
			h.air[c] = e
		}
	}
}

func (h *hydraulics) opened(e *event, corner bleed.Corner, at string) string {
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
func (h *hydraulics) closed(e *event, corner bleed.Corner, at string) string {
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
			h.air[corner] = e // closed without having been open, as far as is known
		}
	}
	h.open = slices.DeleteFunc(h.open, func(o opening) bool { return o == opening{corner, place} })
	return place
}

func (h *hydraulics) bleeding(e *event, corner bleed.Corner, d *journal.Bleed) bleed.Event {
	h.last = e
	if d.Bubbles != "none" {
		h.air[corner] = e
		return bleed.Bubbled(corner)
	}
	h.bled[corner] = e
	return bleed.Bled(corner)
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

// line looks at the lines of one corner.
func (w *work) line(c *cornerWork) (f lineFacts) {
	h, corner := w.lines(), bleed.Corner(c.corner.Corner)
	opened := lastOf(c.events, func(e event) bool { _, ok := e.data.(*journal.LineOpening); return ok })
	closed := lastOf(c.events, func(e event) bool { _, ok := e.data.(*journal.LineConnection); return ok })
	f.Touched = opened != nil || closed != nil
	f.rests(opened.record(), closed.record())
	for _, o := range h.open {
		if o.corner == corner {
			f.Open = append(f.Open, o.place)
		}
	}
	switch {
	case !f.Touched:
		f.wait("no line of this corner was opened yet")
	case opened == nil:
		f.say("closed, and nobody wrote that it was opened")
	case len(f.Open) == 0:
		f.Closed = true
		f.say("opened and closed again")
	case closed != nil && opened.at > closed.at:
		f.say("open: %s", strings.Join(f.Open, ", "))
		f.undo(opened.line, "the line was opened again")
	default:
		f.wait("open: %s", strings.Join(f.Open, ", "))
	}
	return f
}

// bleed looks at the bleeding of one corner.
func (w *work) bleed(c *cornerWork) (f bleedFacts) {
	h, corner := w.lines(), bleed.Corner(c.corner.Corner)
	e, d := last[journal.Bleed](c.events, ever)
	if d == nil {
		f.wait("not bled yet")
		return f
	}
	f.Begun, f.DrawnML = true, millilitres(d.Drawn)
	f.rests(e.line)
	f.say("%s drawn, bubbles at the end: %s", d.Drawn, d.Bubbles)
	for _, n := range h.state.Need {
		if n.Corner != corner {
			continue
		}
		f.say("%s", n.Why)
		if air := h.air[corner]; air != nil && air.at > e.at {
			f.undo(air.line, "air could get in after the bleeding: %s", n.Why)
		}
		return f
	}
	f.Done = h.err == nil && h.bled[corner] != nil && slices.Contains(h.state.Bled, corner)
	return f
}

func (w *work) screw(c *cornerWork) (f screwFacts) {
	e, d := last[journal.Bleed](c.events, ever)
	if d == nil || d.Screw.IsZero() {
		f.wait("no torque of the bleeder screw is written down yet")
		return f
	}
	f.Done, f.Torque = true, newtonMetres(d.Screw)
	f.rests(e.line)
	f.say("bleeder screw %s with %s", d.Screw, d.Tool)
	f.ToolGood = w.goodTool(&f.ground, d.Tool, e)
	return f
}
