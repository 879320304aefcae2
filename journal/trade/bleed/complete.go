package bleed

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/words"
)

type kind int

const (
	opened kind = iota + 1
	closed
	bled
	partly
	bubbled
	topped
	ranDry
	changing
)

// Event is one thing that happened to the brake lines. Make one with Opened, Closed,
// Bled, BledAt, Bubbled, Topped, RanDry or Changing; events stand in the order in which they happened.
type Event struct {
	kind   kind
	corner Corner // empty for the whole system
	where  string
	screws Screws
}

// Opened is a line that was opened at a place such as "banjo". With an empty corner it
// was opened ahead of all corners, as at the master cylinder.
func Opened(c Corner, where string) Event { return Event{kind: opened, corner: c, where: where} }

// Closed is a line that was closed again at the place where it was opened.
func Closed(c Corner, where string) Event { return Event{kind: closed, corner: c, where: where} }

// Bled is a corner that was bled until no bubble came.
func Bled(c Corner) Event { return Event{kind: bled, corner: c} }

// BledAt is a corner that was bled until no bubble came by some of its bleeder screws, as
// by one of the two of a fixed caliper.
func BledAt(c Corner, s Screws) Event { return Event{kind: partly, corner: c, screws: s} }

// Bubbled is a corner that was bled and still gave bubbles at the end.
func Bubbled(c Corner) Event { return Event{kind: bubbled, corner: c} }

// Topped is a look at the reservoir that left it full enough.
func Topped() Event { return Event{kind: topped} }

// RanDry is a reservoir that ran empty, so that air was drawn in ahead of all corners.
func RanDry() Event { return Event{kind: ranDry} }

// Changing is the fluid of the whole system that is to be changed from here on.
func Changing() Event { return Event{kind: changing} }

type (
	// Opening is a line that is open.
	Opening struct {
		Corner Corner `json:"corner,omitzero"` // empty for the whole system
		Where  string `json:"where,omitzero"`
	}

	// Need is a corner that is still to be bled, and why. Where only some of its
	// bleeder screws are, Screws is how many, and Which are those if that is known.
	Need struct {
		Corner Corner   `json:"corner"`
		Why    string   `json:"why"`
		Screws int      `json:"screws,omitzero"`
		Which  []string `json:"which,omitempty"`
	}

	// State is where the bleeding of a vehicle stands after its last event.
	State struct {
		Complete bool
		Bled     []Corner // for good, in the order of bleeding
		Need     []Need   // in the order of bleeding
		Open     []Opening
		Source   string
		Warnings []string
	}
)

// Complete works out which corners are still to be bled. The order is the vehicle's, as
// from OrderOf; a corner that is not in bleeders has one bleeder screw. A bleeding out of
// order or without a look at the reservoir is warned of, not refused. Errors are of type
// *Error.
func Complete(events []Event, order []Corner, bleeders map[Corner]Bleeders) (State, error) {
	if _, err := fromManual(order); err != nil {
		return State{}, err
	}
	f := fold{order: order, fitted: bleeders, why: map[Corner]Need{}, bled: map[Corner]bool{}, drawn: map[Corner]drawn{}}
	for _, e := range events {
		if err := f.take(e); err != nil {
			return State{}, err
		}
	}
	s := State{Open: f.open, Warnings: f.warnings, Source: "air enters where a line is opened and leaves by the bleeder after it; shop default"}
	for _, c := range order {
		switch n, needs := f.why[c]; {
		case needs:
			s.Need = append(s.Need, n)
		case f.bled[c]:
			s.Bled = append(s.Bled, c)
		}
	}
	s.Complete = len(s.Need) == 0 && len(s.Open) == 0
	return s, nil
}

// fold is what is known between two events.
type fold struct {
	order    []Corner
	fitted   map[Corner]Bleeders
	why      map[Corner]Need  // the corners that need bleeding
	bled     map[Corner]bool  // since it was last in need
	drawn    map[Corner]drawn // by which screws, since air was last let in
	open     []Opening
	warnings []string
	last     Corner // bled last, since the last look at the reservoir
}

func (f *fold) take(e Event) error {
	switch e.kind {
	case topped:
		f.last = ""
		return nil
	case ranDry:
		f.need("", "the reservoir ran dry")
		f.last = ""
		return nil
	case changing:
		f.need("", "the fluid of the whole system is being changed")
		return nil
	case opened, closed, bled, partly, bubbled:
	default:
		return sheet.Refuse("an event", "without a kind", "make it with Opened, Closed, Bled, BledAt, Bubbled, Topped, RanDry or Changing")
	}
	if whole := e.corner == "" && (e.kind == opened || e.kind == closed); !whole {
		if err := e.corner.check(); err != nil {
			return err
		}
	}
	at := Opening{e.corner, e.where}
	switch e.kind {
	case opened:
		f.need(e.corner, at.name()+" was opened")
		if !slices.Contains(f.open, at) {
			f.open = append(f.open, at)
		}
	case closed:
		if !slices.Contains(f.open, at) {
			// Closed twice, or its opening was not recorded: then air may be in it.
			f.need(e.corner, at.name()+" was closed and must have been open before")
		}
		f.open = slices.DeleteFunc(f.open, func(o Opening) bool { return o == at })
	case partly:
		f.look(e.corner)
		f.bleed(e.corner, e.screws)
	case bubbled:
		f.look(e.corner)
		f.need(e.corner, "bubbles still came")
	case bled:
		f.look(e.corner)
		f.bleed(e.corner, Screws{Many: f.fitted[e.corner].count()})
	}
	return nil
}

// need sends a corner, or with none all of them, back to bleeding.
func (f *fold) need(c Corner, why string) {
	for _, each := range f.order {
		if c == "" || c == each {
			f.why[each] = Need{Corner: each, Why: why}
			f.bled[each] = false
			delete(f.drawn, each)
		}
	}
}

// look warns when two corners were bled without a look at the reservoir between them.
func (f *fold) look(c Corner) {
	if f.last != "" && f.last != c {
		f.warnings = append(f.warnings, fmt.Sprintf("nobody looked at the reservoir between %s and %s: if it ran dry, the bleeding starts again from the first corner", f.last, c))
	}
	f.last = c
}

// bleed takes in that screws of a corner were bled, which does it no good while a line is
// open.
func (f *fold) bleed(c Corner, s Screws) {
	for _, o := range f.open {
		if o.Corner == "" || o.Corner == c {
			f.need(c, "it was bled while "+o.name()+" was open")
			return
		}
	}
	f.drawn[c] = f.drawn[c].with(s)
	if left := f.drawn[c].left(c, f.fitted[c]); left.Screws > 0 {
		f.why[c], f.bled[c] = left, false
		return
	}
	for _, earlier := range f.order[:slices.Index(f.order, c)] {
		if _, needs := f.why[earlier]; needs {
			f.warnings = append(f.warnings, fmt.Sprintf("%s was bled while %s still needed it; the order is %s", c, earlier, words.Commas(f.order...)))
		}
	}
	f.bled[c] = true
	delete(f.why, c)
}

// name says where a line is open.
func (o Opening) name() string {
	where := o.Where
	if where == "" {
		where = "line"
	}
	if o.Corner == "" {
		return "the " + where + " ahead of all corners"
	}
	return fmt.Sprintf("the %s at %s", where, o.Corner)
}

// Say returns the state as one sentence.
func (s State) Say() string {
	var parts []string
	for _, n := range s.Need {
		parts = append(parts, fmt.Sprintf("%s must be bled: %s", n.Corner, n.Why))
	}
	for _, o := range s.Open {
		parts = append(parts, o.name()+" is still open")
	}
	switch {
	case len(parts) > 0:
		return strings.Join(parts, "; ")
	case len(s.Bled) == 0:
		return "no line was opened, so nothing needs bleeding"
	}
	return "bled after the last opening: " + words.Commas(s.Bled...)
}
