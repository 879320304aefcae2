package route

import (
	"strings"

	"fettlebook/journal"
)

// spoils reports whether an event makes a look at bare seats or a rebuild
// worthless.
func spoils(e event) bool {
	switch e.data.(type) {
	case *journal.Soaking, *journal.BakeStart, *journal.Coating:
		return true
	}
	return false
}

// refitted returns the last time that the part went back on; nil if it is off.
func (p *partWork) refitted() *event {
	e := lastOf(p.events, func(e event) bool {
		switch e.data.(type) {
		case *journal.Refitting, *journal.Removal:
			return true
		}
		return false
	})
	if e == nil {
		return nil
	}
	if _, back := e.data.(*journal.Refitting); !back {
		return nil
	}
	return e
}

// seats looks at what was shown bare since the last heat.
func (p *partWork) seats() (f seatFacts) {
	spoiled := lastOf(p.events, spoils)
	state := make(map[string]journal.SeatState)
	by := make(map[string]*event)
	var proof, late *event
	back := p.refitted()
	for i := range p.events {
		e := &p.events[i]
		s, ok := e.data.(*journal.SeatProof)
		if !ok {
			continue
		}
		if e.at < spoiled.place() {
			f.undo(spoiled.line, "the part went into powder or heat after its seats were shown bare")
			continue
		}
		proof = e
		f.Photos += len(e.line.Photos)
		for _, seat := range s.Seats {
			key := strings.ToLower(seat)
			if by[key] == nil && back != nil && e.at > back.at {
				late = e // never shown while it could be seen
			}
			state[key], by[key] = s.State, e
		}
	}
	if proof == nil {
		f.wait("no seat was shown bare yet")
		return f
	}
	f.Done, f.Bare, f.undone = true, true, nil
	for _, seat := range sortedKeys(state) {
		f.rests(by[seat].line)
		if state[seat] == "film left" {
			f.Bare = false
			f.say("film is left on %s", seat)
		} else {
			f.say("%s %s", seat, state[seat])
		}
	}
	if f.InTime = late == nil; !f.InTime {
		f.undo(late.line, "the part was back on before its seats were looked at")
	}
	return f
}

func (p *partWork) rebuild() (f rebuildFacts) {
	e, r := last[journal.Rebuild](p.events, ever)
	if r == nil {
		f.wait("not rebuilt yet")
		return f
	}
	f.rests(e.line)
	if heat := lastOf(p.events, heats); heat.place() > e.at {
		f.undo(heat.line, "the part went into heat after it was rebuilt")
		return f
	}
	f.Done = true
	for _, item := range r.NewParts {
		f.NewParts += item.Count
		f.say("new: %d × %s", item.Count, item.What)
	}
	if f.NewParts == 0 {
		f.say("nothing new went in")
	}
	back := p.refitted()
	if f.InTime = back == nil || e.at < back.at; !f.InTime {
		f.undo(e.line, "the part was back on before it was rebuilt")
	}
	return f
}

func (p *partWork) refit() (f refitFacts) {
	fit, r := last[journal.Refitting](p.events, ever)
	off, _ := last[journal.Removal](p.events, ever)
	switch {
	case fit == nil:
		f.wait("not back on the vehicle yet")
	case off.place() > fit.at:
		f.rests(fit.line)
		f.undo(off.line, "the part was taken off again")
	default:
		f.rests(fit.line)
		f.Back, f.Bleeder = true, string(r.Bleeder)
		if f.Bleeder == "" {
			f.say("back on; nobody wrote where the bleeder sits")
		} else {
			f.say("back on, bleeder %s", f.Bleeder)
		}
	}
	return f
}
