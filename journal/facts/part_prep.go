package facts

import (
	"fmt"
	"math"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

func (p *partWork) tag(g *Group) (f card.TagFacts) {
	e, t := last[journal.Tagging](p.events)
	if t == nil {
		g.await(Tag, NotTagged)
		return f
	}
	f.Done, f.Tag, f.Number, f.Pattern, f.Mark, f.Metal = true, t.Tag, t.Number, t.Pattern, t.Mark, string(t.Metal)
	g.state(Statement{Quantity: Tag, Value: t.Tag, With: []Figure{with("metal", string(t.Metal))}}, e.Line)
	return f
}

// bareOnArrival is the rubber of a part that came without any.
const bareOnArrival = "none in it when it came"

// strip follows the rubber: out at a strip that leaves none in, or from the
// moment on at which somebody wrote that the part came without any; in again at
// a rebuild. Heat that was before a decision to strip and recoat counts no more.
func (p *partWork) strip(g *Group) (f card.StripFacts) {
	bare, cameBare := false, p.cameBare()
	var strip *Event
	var has []journal.Item // that may be in it
	if p.has != nil && !cameBare {
		has = p.has.Rubber
	}
	is := string(journal.RubberOut)
	out := tally{} // since it was last in
	var left, cooked []lack
	var heat *record.Line
	for i := range p.events {
		e := &p.events[i]
		switch d := e.Data.(type) {
		case *journal.MakeUp:
			if cameBare && d.CameBare {
				f.Begun, bare, strip, is = true, true, e, bareOnArrival
				cameBare = false // it says so once
			}
		case *journal.Stripping:
			f.Begun, cameBare, is = true, false, string(journal.RubberOut)
			out.add(d.Out)
			left = out.lacks(has)
			if bare = d.Rubber == journal.RubberOut; bare {
				strip = e
			} else {
				strip = nil
				g.undo(e.Line, Rubber, RubberLeftIn)
			}
		case *journal.Rebuild:
			bare, cameBare = false, false
			if clear(out); p.has != nil {
				has = p.has.Rubber
			}
		case *journal.Rework:
			if d.Decision == journal.StripAndRecoat {
				f.Heated, f.Cooked, cooked = false, false, nil
			}
		case *journal.Soaking, *journal.BakeStart:
			f.Heated = true
			switch {
			case !bare:
				f.Cooked = true
				g.undo(e.Line, Rubber, HeatedWithRubber)
			case len(left) > 0 && !f.Cooked:
				f.Cooked, cooked, heat = true, left, e.Line
			}
		}
	}
	g.rests(strip.record())
	if p.has != nil && p.has.CameBare && p.cameOff() {
		g.state(Statement{Quantity: Rubber, Met: NotKnown, Sure: NotProven, Because: WasOnVehicle}, p.described.Line)
	}
	f.Done = strip != nil
	switch {
	case !f.Done:
		g.await(Rubber, NotStripped)
	case f.Cooked:
		g.lacking(Rubber, HeatedWithPart, cooked, heat)
	case len(left) > 0:
		f.Done = false
		g.lacking(Rubber, RubberNotOut, left, nil)
	default:
		g.keep()
		g.state(Statement{Quantity: Rubber, Value: is}, strip.record())
		p.unstated(g)
	}
	return f
}

// degrease looks for the washing of this coat, and for chlorine or solvent that
// met heat. A part that was left wet with solvent is dry again once somebody
// wrote so, and blasting shows it.
func (p *partWork) degrease(g *Group) (f card.WashFacts) {
	var chlorine, wet *Event
	heat := func(e *Event, dry bool) {
		if chlorine != nil {
			f.Residue = true
			g.rests(chlorine.Line)
			g.undo(e.Line, Degreaser, HeatedWithChlorine)
		}
		if wet != nil && !dry {
			f.Wet = true
			g.rests(wet.Line)
			g.undo(e.Line, Degreaser, HeatedWet)
		}
		wet = nil
	}
	for i := range p.events {
		e := &p.events[i]
		switch d := e.Data.(type) {
		case *journal.Degreasing:
			chlorine, wet = nil, nil
			if d.Chlorinated {
				chlorine = e
			}
			if d.Left == journal.WetWithSolvent {
				wet = e
			}
		case *journal.Blasting:
			wet = nil
		case *journal.Soaking:
			heat(e, d.Dry)
		case *journal.BakeStart:
			heat(e, d.Dry)
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
