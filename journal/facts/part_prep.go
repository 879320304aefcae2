package facts

import (
	"fmt"
	"math"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

func (p *partWork) tag(g *Group) (f card.TagFacts) {
	e, t := last[journal.Tagging](p.events)
	if t == nil {
		g.await(Tag, NotTagged)
		return f
	}
	f.Done, f.Tag, f.Mark, f.Metal = true, t.Tag, t.Mark, string(t.Metal)
	g.state(Statement{Quantity: Tag, Value: t.Tag, With: []Figure{with("metal", string(t.Metal))}}, e.Line)
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
			if bare = d.Rubber == journal.RubberOut; bare {
				strip = e
			} else {
				strip = nil
				g.undo(e.Line, Rubber, RubberLeftIn)
			}
		case *journal.Rebuild:
			bare = false
		case *journal.Rework:
			if d.Decision == journal.StripAndRecoat {
				f.Heated, f.Cooked = false, false
			}
		case *journal.Soaking, *journal.BakeStart:
			f.Heated = true
			if !bare {
				f.Cooked = true
				g.undo(e.Line, Rubber, HeatedWithRubber)
			}
		}
	}
	g.rests(strip.record())
	f.Done = strip != nil
	switch {
	case !f.Done:
		g.await(Rubber, NotStripped)
	case f.Cooked:
	default:
		g.keep()
		g.state(Statement{Quantity: Rubber, Value: string(journal.RubberOut)}, strip.record())
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
				g.undo(e.Line, Degreaser, HeatedWithChlorine)
			}
		}
	}
	e, d := p.before(isDegreasing)
	if e == nil {
		g.await(Degreaser, NotDegreased)
		return f
	}
	f.Done = true
	g.state(Statement{Quantity: Degreaser, Value: d.(*journal.Degreasing).Agent}, e.Line)
	return f
}

func (p *partWork) blast(g *Group) (f card.BlastFacts) {
	e, d := p.before(isBlasting)
	if e == nil {
		g.await(BlastMedia, NotBlasted)
		return f
	}
	f.Done = true
	g.state(Statement{Quantity: BlastMedia, Value: d.(*journal.Blasting).Media}, e.Line)
	f.MinutesToPowder = p.toPowder(g, e, BlastToPowder)
	return f
}

func (p *partWork) soak(g *Group) (f card.SoakFacts) {
	e, d := p.before(isSoaking)
	if e == nil {
		g.await(Soak, NotSoaked)
		return f
	}
	s := d.(*journal.Soaking)
	f.Done, f.Clean = true, s.Rag == journal.RagClean
	value, unit := split(s.Held)
	g.state(Statement{Quantity: Soak, Value: value, Unit: unit, With: []Figure{typed("set", s.Set)}}, e.Line)
	if s.Rag != "" {
		g.state(Statement{Quantity: Rag, Value: string(s.Rag)}, e.Line)
	}
	f.MinutesToPowder = p.toPowder(g, e, SoakToPowder)
	return f
}

// toPowder returns the minutes from an event to the first powder after it.
func (p *partWork) toPowder(g *Group, from *Event, what Quantity) float64 {
	powder, _ := first[journal.Coating](p.coat(), from)
	if powder == nil {
		return 0
	}
	d, clock := elapsed(from.Line, powder.Line)
	g.state(Statement{Quantity: what, Value: fmt.Sprintf("%.0f", d.Minutes()), Unit: "min", With: []Figure{with("clock", string(clock))}, Sure: Reckoned}, powder.Line)
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
// degreased, blasted, masked, soaked, coated. A missing step is not a wrong order.
func (p *partWork) order(g *Group) (f card.OrderFacts) {
	powder, _ := first[journal.Coating](p.coat(), nil)
	if powder == nil {
		g.await(StepOrder, NoPowder)
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
				g.lose(s.at.Line, Statement{About: g.About, Quantity: StepOrder, Value: later.name, With: []Figure{with("before", s.name)}, Met: No, Sure: Undone, Because: WrongOrder})
			}
		}
	}
	if len(f.Wrong) == 0 {
		g.state(Statement{Quantity: StepOrder, Value: strings.Join(done, ", then "), Met: Yes})
	}
	return f
}
