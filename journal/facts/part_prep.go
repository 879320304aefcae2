package facts

import (
	"fettlebook/journal/card"
	"fmt"
	"math"
	"strings"

	"fettlebook/journal"
)

func (p *partWork) tag(g *Group) (f card.TagFacts) {
	e, t := last[journal.Tagging](p.events)
	if t == nil {
		g.wait("the part has no tag yet")
		return f
	}
	g.rests(e.Line)
	f.Done, f.Tag, f.Mark, f.Metal = true, t.Tag, t.Mark, string(t.Metal)
	g.say("tag %s, %s", t.Tag, t.Metal)
	return f
}

// strip follows the rubber: out at a strip that leaves none in, in again at a
// rebuild. Heat that was before a decision to strip and recoat counts no more.
func (p *partWork) strip(g *Group) (f card.StripFacts) {
	bare := false
	var strip *Event
	for i := range p.events {
		e := &p.events[i]
		switch d := e.Data.(type) {
		case *journal.Stripping:
			if bare = d.Rubber == "none left in"; bare {
				strip = e
			} else {
				strip = nil
				g.undo(e.Line, "rubber was left in at the strip")
			}
		case *journal.Rebuild:
			bare = false
		case *journal.Rework:
			if d.Decision == "strip and recoat" {
				f.Heated, f.Cooked = false, false
			}
		case *journal.Soaking, *journal.BakeStart:
			f.Heated = true
			if !bare {
				f.Cooked = true
				g.undo(e.Line, "the part went into heat with rubber in it, or before anyone wrote that it was out")
			}
		}
	}
	g.rests(strip.record())
	f.Done = strip != nil
	switch {
	case !f.Done:
		g.wait("nobody has written yet that all rubber is out")
	case f.Cooked:
	default:
		g.Undone = nil
		g.say("all rubber out before any heat")
	}
	return f
}

// degrease looks for the washing of this coat and for chlorine that met heat.
func (p *partWork) degrease(g *Group) (f card.WashFacts) {
	var chlorine *Event
	for i := range p.events {
		e := &p.events[i]
		switch d := e.Data.(type) {
		case *journal.Degreasing:
			if chlorine = nil; d.Chlorinated {
				chlorine = e
			}
		case *journal.Soaking, *journal.BakeStart:
			if chlorine != nil {
				f.Residue = true
				g.rests(chlorine.Line)
				g.undo(e.Line, "the part went into heat after a chlorinated degreaser")
			}
		}
	}
	e, d := p.before(isDegreasing)
	if e == nil {
		g.wait("not degreased yet")
		return f
	}
	f.Done = true
	g.rests(e.Line)
	g.say("degreased with %s", d.(*journal.Degreasing).Agent)
	return f
}

func (p *partWork) blast(g *Group) (f card.BlastFacts) {
	e, d := p.before(isBlasting)
	if e == nil {
		g.wait("not blasted yet")
		return f
	}
	f.Done = true
	g.rests(e.Line)
	g.say("blasted with %s", d.(*journal.Blasting).Media)
	f.MinutesToPowder = p.toPowder(g, e, "blast")
	return f
}

func (p *partWork) soak(g *Group) (f card.SoakFacts) {
	e, d := p.before(isSoaking)
	if e == nil {
		g.wait("not soaked yet")
		return f
	}
	s := d.(*journal.Soaking)
	f.Done, f.Clean = true, s.Rag == "clean"
	g.rests(e.Line)
	g.say("soaked for %s at %s", s.Held, s.Set)
	if s.Rag != "" {
		g.say("the rag was %s", s.Rag)
	}
	f.MinutesToPowder = p.toPowder(g, e, "soak")
	return f
}

// toPowder returns the minutes from an event to the first powder after it.
func (p *partWork) toPowder(g *Group, from *Event, what string) float64 {
	powder, _ := first[journal.Coating](p.coat(), from)
	if powder == nil {
		return 0
	}
	g.rests(powder.Line)
	d, by := elapsed(from.Line, powder.Line)
	g.say("%.0f min from %s to powder, %s", d.Minutes(), what, by)
	return math.Max(0, d.Minutes())
}

func isDegreasing(p journal.Payload) bool { _, ok := p.(*journal.Degreasing); return ok }
func isBlasting(p journal.Payload) bool   { _, ok := p.(*journal.Blasting); return ok }
func isMasking(p journal.Payload) bool    { _, ok := p.(*journal.Masking); return ok }
func isSoaking(p journal.Payload) bool    { _, ok := p.(*journal.Soaking); return ok }

// before returns the last such event of this coat before its first powder, or
// if there is none, the first one after it.
func (p *partWork) before(wanted func(journal.Payload) bool) (found *Event, data journal.Payload) {
	powdered := false
	coat := p.coat()
	for i := range coat {
		e := &coat[i]
		_, isPowder := e.Data.(*journal.Coating)
		powdered = powdered || isPowder
		if wanted(e.Data) && (!powdered || found == nil) {
			found, data = e, e.Data
		}
	}
	return found, data
}

// order finds steps of this coat that were done in another order than
// degreased, blasted, masked, soaked, coated. A missing step is no wrong order.
func (p *partWork) order(g *Group) (f card.OrderFacts) {
	powder, _ := first[journal.Coating](p.coat(), nil)
	if powder == nil {
		g.wait("no powder is on yet")
		return f
	}
	f.Begun = true
	type step struct {
		name string
		at   *Event
	}
	steps := []step{{name: "degreased"}, {name: "blasted"}, {name: "masked"}, {name: "soaked"}, {"coated", powder}}
	for i, wanted := range []func(journal.Payload) bool{isDegreasing, isBlasting, isMasking, isSoaking} {
		steps[i].at, _ = p.before(wanted)
	}
	var done []string
	for i, s := range steps {
		if s.at == nil {
			continue
		}
		g.rests(s.at.Line)
		done = append(done, s.name)
		for _, later := range steps[i+1:] {
			if later.at.before(s.at) {
				f.Wrong = append(f.Wrong, fmt.Sprintf("%s before %s", later.name, s.name))
				g.undo(s.at.Line, "it was %s before it was %s", later.name, s.name)
			}
		}
	}
	if len(f.Wrong) == 0 {
		g.say("%s", strings.Join(done, ", then "))
	}
	return f
}
