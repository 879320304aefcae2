package facts

import (
	"fettlebook/journal/card"
	"maps"
	"slices"
	"strings"

	"fettlebook/journal"
)

// refitted returns the last time that the part went back on; nil if it is off.
func (p *partWork) refitted() *Event {
	e := lastOf(p.events, func(e Event) bool {
		switch e.Data.(type) {
		case *journal.Refitting, *journal.Removal:
			return true
		}
		return false
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
	by := make(map[string]*Event)
	var proof, late *Event
	back := p.refitted()
	for i := range p.events {
		e := &p.events[i]
		s, ok := e.Data.(*journal.SeatProof)
		if !ok {
			continue
		}
		if e.before(spoiled) {
			g.undo(spoiled.Line, "the part went into powder or heat after its seats were shown bare")
			continue
		}
		proof = e
		f.Photos += len(e.Line.Photos)
		for _, seat := range s.Seats {
			key := strings.ToLower(seat)
			if by[key] == nil && e.after(back) {
				late = e // never shown while it could be seen
			}
			state[key], by[key] = s.State, e
		}
	}
	if proof == nil {
		g.wait("no seat was shown bare yet")
		return f
	}
	f.Done, f.Bare, g.Undone = true, true, nil
	for _, seat := range slices.Sorted(maps.Keys(state)) {
		g.rests(by[seat].Line)
		if state[seat] == "film left" {
			f.Bare = false
			g.say("film is left on %s", seat)
		} else {
			g.say("%s %s", seat, state[seat])
		}
	}
	if f.InTime = late == nil; !f.InTime {
		g.undo(late.Line, "the part was back on before its seats were looked at")
	}
	return f
}

func (p *partWork) rebuild(g *Group) (f card.RebuildFacts) {
	e, r := last[journal.Rebuild](p.events)
	if r == nil {
		g.wait("not rebuilt yet")
		return f
	}
	g.rests(e.Line)
	if heat := lastOf(p.events, doing(journal.Heats)); heat.after(e) {
		g.undo(heat.Line, "the part went into heat after it was rebuilt")
		return f
	}
	f.Done = true
	for _, item := range r.NewParts {
		f.NewParts += item.Count
		g.say("new: %d × %s", item.Count, item.What)
	}
	if f.NewParts == 0 {
		g.say("nothing new went in")
	}
	back := p.refitted()
	if f.InTime = back == nil || e.before(back); !f.InTime {
		g.undo(e.Line, "the part was back on before it was rebuilt")
	}
	return f
}

func (p *partWork) refit(g *Group) (f card.RefitFacts) {
	fit, r := last[journal.Refitting](p.events)
	off, _ := last[journal.Removal](p.events)
	switch {
	case fit == nil:
		g.wait("not back on the vehicle yet")
	case off.after(fit):
		g.rests(fit.Line)
		g.undo(off.Line, "the part was taken off again")
	default:
		g.rests(fit.Line)
		f.Back, f.Bleeder = true, string(r.Bleeder)
		if f.Bleeder == "" {
			g.say("back on; nobody wrote where the bleeder sits")
		} else {
			g.say("back on, bleeder %s", f.Bleeder)
		}
	}
	return f
}
