package facts

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// refitted returns the last time that the part went back on; nil if it is off.
func (p *partWork) refitted() *Event {
	e := lastOf(p.events, func(e Event) bool {
		return is[journal.Refitting](e) || offVehicle(e)
	})
	if e == nil {
		return nil
	}
	if _, back := e.Data.(*journal.Refitting); !back {
		return nil
	}
	return e
}

// seats looks at what was shown bare since the last heat.
func (p *partWork) seats(g *Group) (f card.SeatFacts) {
	spoiled := lastOf(p.events, doing(journal.SoilsSeats))
	state := make(map[string]journal.SeatState)
	by, called := make(map[string]*Event), make(map[string]string)
	bare := tally{} // shown before the part went back on
	var proof, late *Event
	back := p.refitted()
	for i := range p.events {
		e := &p.events[i]
		s, ok := e.Data.(*journal.SeatProof)
		if !ok {
			continue
		}
		if e.before(spoiled) {
			g.undo(spoiled.Line, Seats, SoiledAfter)
			continue
		}
		proof = e
		for _, seat := range s.Counted() {
			key := journal.Called(seat.What)
			if by[key] == nil && e.after(back) {
				late = e // never shown while it could be seen
			}
			state[key], by[key], called[key] = s.State, e, strings.ToLower(seat.What)
		}
		if s.State != journal.FilmLeft && !e.after(back) {
			bare.add(s.Counted())
		}
	}
	if proof == nil {
		g.await(Seats, NoSeats)
		return f
	}
	f.Done, f.Bare = true, true
	g.keep()
	if p.has != nil {
		f.Done = p.named(g, Seats, SeatNotShown, BackBeforeSeat, bare.lacks(p.has.Bare()))
	}
	for _, seat := range slices.Sorted(maps.Keys(state)) {
		bare := state[seat] != journal.FilmLeft
		f.Bare = f.Bare && bare
		g.state(Statement{Quantity: Seats, Of: called[seat], Value: string(state[seat]), Met: met(bare)}, by[seat].Line)
	}
	p.unstated(g)
	if f.InTime = late == nil; !f.InTime {
		g.undo(late.Line, Seats, BackBeforeSeats)
	}
	f.Photos = p.photos(SeatsShown, (*partWork).sinceSoiled, is[journal.SeatProof])
	if f.Photos == 0 {
		g.lack(Statement{Quantity: Seats, Because: NotPhotographed}, nil)
	}
	return f
}

// sinceSoiled returns what was done to a part since powder or heat could reach
// its seats.
func (p *partWork) sinceSoiled() []Event {
	spoiled := lastOf(p.events, doing(journal.SoilsSeats))
	return slices.DeleteFunc(slices.Clone(p.events), func(e Event) bool { return e.before(spoiled) })
}

func (p *partWork) rebuild(g *Group) (f card.RebuildFacts) {
	heat, back := lastOf(p.events, doing(journal.Heats)), p.refitted()
	fresh := tally{} // since the last heat, and before the part went back on
	for i := range p.events {
		e := &p.events[i]
		if r, ok := e.Data.(*journal.Rebuild); ok && !e.before(heat) && !e.after(back) {
			fresh.add(r.NewParts)
		}
	}
	e, r := last[journal.Rebuild](p.events)
	if r == nil {
		g.await(NewParts, NotRebuilt)
		return f
	}
	g.rests(e.Line)
	if heat.after(e) {
		g.undo(heat.Line, NewParts, HeatedAfterRebuild)
		return f
	}
	f.Done = true
	for _, item := range r.NewParts {
		f.NewParts += item.Count
		g.state(Statement{Quantity: NewParts, Of: item.What, Value: fmt.Sprint(item.Count)}, e.Line)
	}
	if f.NewParts == 0 {
		g.state(Statement{Quantity: NewParts, Value: "0"}, e.Line)
	}
	if f.InTime = back == nil || e.before(back); !f.InTime {
		g.undo(e.Line, NewParts, BackBeforeRebuild)
	}
	if p.has != nil {
		f.Done = p.named(g, NewParts, RubberNotNew, BackBeforeRubber, fresh.lacks(p.has.Rubber))
	}
	p.unstated(g)
	return f
}

func (p *partWork) refit(g *Group) (f card.RefitFacts) {
	fit, r := last[journal.Refitting](p.events)
	off := lastOf(p.events, offVehicle)
	switch {
	case fit == nil:
		g.await(Refitted, NotBack)
	case off.after(fit):
		g.rests(fit.Line)
		g.undo(off.Line, Refitted, OffAgain)
	default:
		f.Back, f.Bleeder = true, string(r.Bleeder)
		at := r.Bleeder
		if at == "" && p.has != nil && p.has.Bleeders == 0 {
			at = journal.NoBleeder // nobody has to write where it is
		}
		g.state(Statement{Quantity: Refitted, Value: string(at)}, fit.Line)
	}
	return f
}
